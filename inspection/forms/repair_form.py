"""What is done about a rejected joint."""

from typing import Any

from django import forms

from joints.forms.record_form import RecordForm
from records.models import Joint, RepairDecision
from records.reasons import CORRECTED, own_reason
from rules.fitting_words import fitting_called
from rules.reweld import SIDES, scrapped_sides

LONGEST = 80


class RepairForm(RecordForm[RepairDecision]):
    """Repair the weld, or cut it out and weld anew; either opens the joint's next attempt."""

    MODEL = RepairDecision
    FRONT = ("decision", "why", "piece_scrapped", "by")
    MORE = ("date", "time")

    decision = forms.ChoiceField(
        label="Decision",
        choices=[("repair", "repair the weld"), ("cut-out", "cut it out and weld anew")],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose one."},
    )
    why = forms.CharField(
        label="Why",
        required=False,
        max_length=2000,
        help_text="Needed for a cut-out",
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    piece_scrapped = forms.ChoiceField(
        label="Which piece goes",
        required=False,
        help_text="At a cut-out; the planned heat of a piece that goes is not asked for any more",
        widget=forms.RadioSelect,
    )

    def __init__(self, data: Any = None, **about: Any) -> None:
        joint: Joint = about["joint"]
        self.marks = tuple(piece.mark if piece else "" for piece in (joint.piece_a, joint.piece_b))
        super().__init__(data, **about)
        self.fields["piece_scrapped"].choices = self._pieces(joint)  # type: ignore[attr-defined]
        if self.replaced is not None and _own_reason_of(self.replaced):
            del self.fields["why"]  # what was wrong is asked besides

    def _pieces(self, joint: Joint) -> list[tuple[str, str]]:
        named = [
            f"piece {piece.mark}, {fitting_called(piece.kind)}" if piece else "no piece is planned there"
            for piece in (joint.piece_a, joint.piece_b)
        ]
        return [
            ("A", f"side A ({named[0]})"),
            ("B", f"side B ({named[1]})"),
            ("AB", "both"),
            ("none", "neither, the weld alone"),
        ]

    def clean(self) -> dict[str, Any]:
        """A cut-out costs a fitting and other welds: it says why."""
        clean = self.cleaned_data
        if clean.get("decision") == "cut-out" and "why" in self.fields and not clean.get("why", "").strip():
            self.add_error("why", "Say why the joint is cut out.")
        return clean

    def values_of(self, record: RepairDecision) -> dict[str, Any]:
        """What a stored decision says."""
        sides = scrapped_sides(record.piece_scrapped, *self.marks)
        chosen = "" if sides is None else "".join(sorted(sides)) or "none"
        return super().values_of(record) | {"decision": record.decision, "piece_scrapped": chosen}

    def draft(self) -> RepairDecision:
        """The decision that this form says, unsaved."""
        clean = self.cleaned_data
        common = self.common()
        why = clean.get("why", "").strip()
        if self.replaced is None:
            common["reason"] = why
        elif why:
            common["reason"] = f"{why}{CORRECTED}{common['reason']}"
        return RepairDecision(**common, decision=clean["decision"], piece_scrapped=self._scrapped())

    def _scrapped(self) -> str:
        """The side with the mark that its piece has now, so that the record can be read by itself."""
        chosen = self.cleaned_data["piece_scrapped"]
        if not chosen:
            return self.replaced.piece_scrapped if self.replaced else ""
        if chosen == "none":
            return "none"
        of_side = dict(zip(SIDES, self.marks, strict=True))
        marks = [mark for side in chosen if (mark := of_side[side])]
        where = "both sides" if len(chosen) > 1 else f"side {chosen}"
        return f"{where}, piece {' and '.join(marks)}"[:LONGEST] if marks else where


def _own_reason_of(decision: RepairDecision) -> str:
    """Why it was decided, by the decision or one that it corrects; a query for each that gives no reason."""
    if own := own_reason(decision.reason, corrects=decision.replaces_id is not None).strip():
        return own
    key = decision.replaces_id
    return _own_reason_of(RepairDecision.objects.get(pk=key)) if key else ""
