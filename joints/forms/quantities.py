"""Form fields for what a fitter types: quantities with units, clock positions, stamps and filler lots."""

import re
from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from records.models import Job, Stamp
from rules import units as trade

Parse = Callable[[str], Decimal]
# A comma that can only be a decimal one: 1,6 and 0,125, but not 1,600.
DECIMAL_COMMA = re.compile(r"(?<![\d.,])(0,\d+|\d+,\d{1,2})(?![\d.,])")


def with_point(text: str) -> str:
    """A quantity as typed, with a point for the decimal comma that some phones' pads for figures have instead."""
    return DECIMAL_COMMA.sub(lambda found: found[0].replace(",", "."), text)


class QuantityField(forms.CharField):
    """A quantity as typed; its clean value is the figure in the unit that records keep, None where left empty."""

    def __init__(self, parse: Parse, *, keypad: str = "decimal", step: str = "", **options: Any) -> None:
        self.parse = parse
        attrs = {"class": "measure", "inputmode": keypad, "autocomplete": "off", "autocapitalize": "none"}
        if step:
            attrs["data-step"] = step
        options.setdefault("widget", forms.TextInput(attrs=attrs))
        super().__init__(required=False, max_length=40, **options)

    def clean(self, value: Any) -> Decimal | None:
        """Read the text; whatever can't be read is told with what is accepted."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return self.parse(with_point(text))
        except trade.UnitError as error:
            raise ValidationError(str(error)) from error


def length_field(job: Job, label: str, **options: Any) -> QuantityField:
    """A length in the job's units. A pad for figures has no stroke, so inches get the whole keyboard."""
    keypad = "text" if job.units == trade.US else "decimal"
    step = "1/32" if job.units == trade.US else "0.5"
    return QuantityField(
        partial(trade.parse_length, units=job.units),
        keypad=keypad,
        step=step,
        label=f"{label} ({_unit(job, 'mm')})",
        **options,
    )


def temperature_field(job: Job, label: str) -> QuantityField:
    """A temperature in the job's units."""
    parse = partial(trade.parse_temperature, units=job.units)
    return QuantityField(parse, step="5", label=f"{label} ({_unit(job, '°C')})")


def travel_field(job: Job, label: str) -> QuantityField:
    """A travel speed in the job's units."""
    return QuantityField(partial(trade.parse_travel, units=job.units), label=f"{label} ({_unit(job, 'mm/min')})")


def _unit(job: Job, unit: str) -> str:
    return trade.unit_shown(unit, job.units)


class StampField(forms.CharField):
    """A stamp by its code; its clean value is the stamp, None where left empty."""

    def __init__(self, job: Job, **options: Any) -> None:
        self.job = job
        attrs = {"list": "stamps", "autocomplete": "off", "autocapitalize": "characters"}
        super().__init__(max_length=20, widget=forms.TextInput(attrs=attrs), **options)

    def clean(self, value: Any) -> Stamp | None:
        """Find the stamp."""
        code = super().clean(value)
        if not code:
            return None
        stamp = Stamp.objects.filter(job=self.job, code__iexact=code).first()
        if stamp is None:
            raise ValidationError(f"{code} is no stamp of this job; accepted are the stamps in its register.")
        return stamp
