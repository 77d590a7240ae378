"""What happened to a piece."""

from typing import Any

from django import forms

from joints.forms.quantities import length_field, with_point
from joints.forms.shop_form import ShopForm, picked
from records.models import Piece, PieceEvent
from records.models.shop import PARTING
from rules.units import figure

# What the remark is asked for, where it can't be left out.
WHY = {"on hold": "Why", "off hold": "What it lifts, and why the piece may go on", "scrapped": "Why"}
WITH_LENGTH = (*PARTING, "returned")


class PieceEventForm(ShopForm[PieceEvent]):
    """One event; a cut asks for its parts and their mark, what goes back to stock for its length."""

    FRONT = ("parts", "mark_transferred", "mark_by", "length", "by", "place")
    FAULTS = {"part": "parts"}

    parts = forms.CharField(
        label="Parts", max_length=400, help_text="The mark of each part, with commas between: 4, 5, 3X"
    )
    mark_transferred = picked("Heat number transferred to each part", [("yes", "yes"), ("no", "no")])
    mark_by = forms.CharField(label="Transferred by", max_length=120, required=False)

    def __init__(self, data: Any = None, *, piece: Piece, event: str, **about: Any) -> None:
        self.piece, self.event = piece, event
        super().__init__(data, **about)
        replaced = self.replaced
        self.fields["length"] = length_field(self.job, "Length" if event == "returned" else "Length of the part")
        if event not in PARTING:
            for name in ("parts", "mark_transferred", "mark_by"):
                del self.fields[name]
        elif replaced is not None:
            # A correction is of one record, so of one part.
            del self.fields["parts"]
        if event not in WITH_LENGTH:
            del self.fields["length"]
        if event in WHY:
            self.fields["remark"].required = True
            self.fields["remark"].label = WHY[event]

    @property
    def front(self) -> list[forms.BoundField]:
        """The fields that are asked; why a piece is held, lifted or scrapped is asked first."""
        why = [self["remark"]] if self.fields["remark"].required else []
        return [*why, *super().front]

    @property
    def more(self) -> list[forms.BoundField]:
        """The fields one tap away."""
        return [field for field in super().more if not (field.name == "remark" and field.field.required)]

    def values_of(self, record: PieceEvent) -> dict[str, Any]:
        """What a stored event says."""
        transferred = {True: "yes", False: "no", None: ""}[record.mark_transferred]
        length = record.typed.get("length") or (
            figure(record.length_mm, "mm", self.job.units) if record.length_mm is not None else ""
        )
        own = {"mark_transferred": transferred, "mark_by": record.mark_by, "length": length}
        return super().values_of(record) | own

    def marks(self) -> list[str]:
        """The marks of the parts, none where the event makes none."""
        parts = (part.strip() for part in self.cleaned_data.get("parts", "").split(","))
        return [part for part in parts if part]

    def draft(self) -> PieceEvent:
        """The event that this form says, unsaved and without its part, unless it corrects one that has it."""
        clean = self.cleaned_data
        length = clean.get("length")
        transferred = {"yes": True, "no": False}.get(clean.get("mark_transferred", ""))
        return PieceEvent(
            **self.common(),
            piece=self.piece,
            event=self.event,
            part=self.replaced.part if self.replaced is not None and self.event in PARTING else None,
            mark_transferred=transferred,
            mark_by=clean.get("mark_by", ""),
            length_mm=length,
            typed={"length": with_point(str(self.data["length"]).strip())} if length is not None else {},
        )
