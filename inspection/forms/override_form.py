"""An authorised person's written decision to go on despite a finding."""

from typing import Any

from django import forms

from joints.forms.record_form import RecordForm
from records.models import Override


class OverrideForm(RecordForm[Override]):
    """The reason, and whose decision it is; which finding stands in the address."""

    MODEL = Override
    FRONT = ("why", "by")
    MORE = ("date", "time")
    FAULTS = {"reason": "why"}

    finding = forms.CharField(max_length=60, widget=forms.HiddenInput)
    why = forms.CharField(
        label="Why the joint may go on",
        max_length=4000,
        help_text="It stands with your name in the package that the client receives",
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, data: Any = None, *, code: str, attempt: str, **about: Any) -> None:
        self.code = code
        super().__init__(data, initial={"finding": f"{code}.{attempt}", "attempt": attempt}, **about)

    def draft(self) -> Override:
        """The override that this form says, unsaved: of this code, on its attempt."""
        return Override(**self.common() | {"reason": self.cleaned_data["why"]}, code=self.code)
