"""Filler that goes out to a welder, or comes back."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from joints.forms.quantities import StampField
from joints.forms.shop_form import ShopForm, picked
from records.models import FillerLot, Job, LotMove
from rules.filler_quantity import parse_filler, show_filler
from rules.units import US, UnitError


class FillerField(forms.CharField):
    """A quantity of filler as typed; its clean value is (amount, unit), None where left empty."""

    def __init__(self, job: Job, **options: Any) -> None:
        self.job = job
        attrs = {"class": "measure", "autocomplete": "off", "autocapitalize": "none"}
        example = "5 lb" if job.units == US else "2.5 kg"
        super().__init__(
            required=False,
            max_length=40,
            widget=forms.TextInput(attrs=attrs),
            help_text=f"{example}, or 20 pieces",
            **options,
        )

    def clean(self, value: Any) -> tuple[Decimal, str] | None:
        """Read the text; whatever can't be read is told with what is accepted."""
        text = super().clean(value)
        try:
            return parse_filler(text, self.job.units) if text else None
        except UnitError as error:
            raise ValidationError(str(error)) from error


class LotMoveForm(ShopForm[LotMove]):
    """Who takes or brings how much, and from or to which oven."""

    FRONT = ("move", "stamp", "quantity", "oven")
    MORE = ("date", "time", "by", "place", "remark")

    move = picked("Which way", [("issued", "issued"), ("returned", "returned")])
    oven = forms.CharField(label="Holding oven", max_length=40, required=False)

    def __init__(self, data: Any = None, *, lot: FillerLot, **about: Any) -> None:
        self.lot = lot
        super().__init__(data, **about)
        self.fields["stamp"] = StampField(self.job, label="Welder (stamp)")
        self.fields["quantity"] = FillerField(self.job, label="Quantity")

    def values_of(self, record: LotMove) -> dict[str, Any]:
        """What a stored move says."""
        quantity = record.typed.get("quantity") or (
            show_filler(record.quantity, record.unit, self.job.units) if record.quantity is not None else ""
        )
        own = {"move": record.move, "stamp": record.stamp.code, "oven": record.oven, "quantity": quantity}
        return super().values_of(record) | own

    def draft(self) -> LotMove:
        """The move that this form says, unsaved."""
        clean = self.cleaned_data
        amount, unit = clean["quantity"] or (None, "")
        return LotMove(
            **self.common(),
            lot=self.lot,
            move=clean["move"],
            stamp=clean["stamp"],
            quantity=amount,
            unit=unit,
            oven=clean["oven"],
            typed={"quantity": str(self.data["quantity"]).strip()} if amount is not None else {},
        )
