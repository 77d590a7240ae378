"""Withdraw a record that was made in error: by a record that says so."""

from typing import Any

from django import forms

from joints.forms.fact_form import OnceForm
from records.models import Job, Joint, Withdrawal


class WithdrawForm(OnceForm):
    """The reason; what is withdrawn stands in the address."""

    reason = forms.CharField(
        label="Why it is withdrawn",
        help_text="For example: made on joint 15, recorded here. The record stays to be seen, struck through",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    kind = forms.CharField(widget=forms.HiddenInput)
    record = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, data: Any = None, *, job: Job, joint: Joint, kind: str, record: Any) -> None:
        self.job, self.joint = job, joint
        super().__init__(data, initial={"kind": kind, "record": record})

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked."""
        return [self["reason"]]

    def draft(self) -> Withdrawal:
        """The withdrawal that this form says, unsaved."""
        clean = self.cleaned_data
        kind, record, reason = clean["kind"], clean["record"], clean["reason"]
        return Withdrawal(id=clean["id"], job=self.job, joint=self.joint, kind=kind, record=record, reason=reason)
