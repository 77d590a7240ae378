"""Who is to weld a joint; one who is not qualified only with a written reason."""

from collections.abc import Sequence
from typing import Any

from django import forms

from joints.forms.record_form import RecordForm
from joints.queries.who_may_weld import Candidate
from records.models import Assignment, Stamp


class AssignForm(RecordForm[Assignment]):
    """One of the job's stamps, and why, where the rules speak against it."""

    override_reason = forms.CharField(
        label="Why this welder, although not qualified",
        required=False,
        help_text="Only for a welder whom the rules speak against; it stays on record",
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, data: Any = None, *, candidates: Sequence[Candidate], **about: Any) -> None:
        super().__init__(data, **about)
        self.candidates = candidates
        for name in ("date", "time", "by"):
            del self.fields[name]  # today, by whoever signed in
        self.fields["stamp"] = forms.ChoiceField(
            label="Welder",
            choices=[(str(one.stamp_id), one.stamp) for one in candidates],
            widget=forms.RadioSelect,
            error_messages={"required": "Choose a welder."},
        )

    def choices(self) -> list[tuple[Candidate, forms.boundfield.BoundWidget]]:
        """Each welder with the button that chooses them."""
        return list(zip(self.candidates, self["stamp"], strict=True))

    def draft(self) -> Assignment:
        """The assignment that this form says, unsaved."""
        clean = self.cleaned_data
        stamp = Stamp.objects.get(job=self.job, id=clean["stamp"])
        return Assignment(**self.common(), stamp=stamp, override_reason=clean["override_reason"])
