"""What is done about a rejected joint."""

from typing import Any

from django import forms

from joints.forms.record_form import RecordForm
from records.models import RepairDecision


class RepairForm(RecordForm[RepairDecision]):
    """Repair the weld, or cut it out and weld anew; either opens the joint's next attempt."""

    FRONT = ("decision", "why", "piece_scrapped", "by")
    MORE = ("date", "time")

    decision = forms.ChoiceField(
        label="Decision",
        choices=[("repair", "repair the weld"), ("cut-out", "cut it out and weld anew")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    why = forms.CharField(label="Why", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}))
    piece_scrapped = forms.CharField(
        label="Piece scrapped", required=False, max_length=80, help_text="At a cut-out: the mark of the piece that goes"
    )

    def __init__(self, data: Any = None, **about: Any) -> None:
        super().__init__(data, **about)
        if self.replaced is not None:
            del self.fields["why"]  # a correction says why it is one

    def values_of(self, record: RepairDecision) -> dict[str, Any]:
        """What a stored decision says."""
        return super().values_of(record) | {"decision": record.decision, "piece_scrapped": record.piece_scrapped}

    def draft(self) -> RepairDecision:
        """The decision that this form says, unsaved."""
        clean = self.cleaned_data
        common = self.common()
        common["reason"] = common["reason"] or clean.get("why", "")
        return RepairDecision(**common, decision=clean["decision"], piece_scrapped=clean["piece_scrapped"])
