"""Stored values as cells: as typed where that is kept, else in the job's units where these are exact, else in SI.

Whatever is written was read back first by the importer's own column: a figure that would not come back as it is stored
is written in another way.
"""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from decimal import Decimal
from typing import Any

from django.db import models

from office.importing import parsers
from office.importing.cells import CellError, as_text, number_text
from office.importing.columns import Column, SheetForm, field_of, fitted
from office.importing.parsers import Parse, Setting
from reports.spreadsheet import Cell, plain_text
from rules.dial import clock_of
from rules.units import figure, plain

# The unit in which a column of each kind is kept, and how a cell names it.
_KEPT: dict[Parse, tuple[str, str]] = {
    parsers.length: ("mm", "mm"),
    parsers.temperature: ("°C", "C"),
    parsers.pressure: ("kPa", "kPa"),
    parsers.stress: ("MPa", "MPa"),
    parsers.travel: ("mm/min", "mm/min"),
    parsers.heat_input: ("kJ/mm", "kJ/mm"),
}
# What a bare number of a job in inches means, where that differs from the unit in which figures are shown.
_SHOWN_WITH = {parsers.stress: " ksi"}
_NUMBER = re.compile(r"\d{1,13}(?:\.\d{1,9})?")
_LISTED = re.compile(r'[,;+&/]|^"|^all$', re.IGNORECASE)


class Written:
    """How one column writes its values; each that occurs is worked out once."""

    def __init__(self, form: SheetForm, column: Column, setting: Setting) -> None:
        self.column, self.setting = column, setting
        self.field: models.Field[Any, Any] | None = field_of(form, column)
        self._known: dict[Any, Cell] = {}

    def __call__(self, value: Any, typed: str = "") -> Cell:
        """Return the cell that says a value.

        typed  as somebody typed it, which is taken where it says the value
        """
        if value is None or value == "":
            return None
        if isinstance(value, str | date):
            return value
        if isinstance(value, list):
            return listed(value) if value or self.column.filled else None
        if isinstance(value, bool):
            return "yes" if value else "no"
        if typed and self._says(as_number(typed), value):
            return as_number(typed)
        if value not in self._known:
            self._known[value] = self._figure(Decimal(value))
        return self._known[value]

    def _says(self, cell: Cell, value: Any) -> bool:
        try:
            return bool(fitted(self.column.parse(cell, self.setting), self.field) == value)
        except CellError:
            return False

    def _figure(self, value: Decimal) -> Cell:
        for form in self._forms(value):
            if self._says(cell := as_number(form), value):
                return cell
        return plain(value)

    def _forms(self, value: Decimal) -> Iterator[str]:
        parse, units = self.column.parse, self.setting.units
        if parse is parsers.share:
            yield f"{plain(value)} %"
        elif parse is parsers.clock:
            yield clock_of(value)
            yield plain((value / 30).quantize(Decimal("0.000001")))
        elif kept := _KEPT.get(parse):
            unit, name = kept
            if units == "US":
                yield f"{figure(value, unit, units)}{_SHOWN_WITH.get(parse, '')}"
                yield f"{plain(value)} {name}"
            yield plain(value)
        else:
            yield plain(value)


def as_number(text: str) -> Cell:
    """Return a text as a number where a spreadsheet's number says exactly the same."""
    if _NUMBER.fullmatch(text) and number_text(float(text)) == text:
        return float(text)
    return text


def acceptable(cell: Cell) -> Cell:
    """Return a cell as the importer takes it: a text that looks like a spreadsheet's error stands in quotes."""
    if not isinstance(cell, str):
        return cell
    kept = plain_text(cell).strip()
    try:
        as_text(kept)
    except CellError:
        return f'"{kept}"'
    return kept


def listed(values: list[Any]) -> Cell:
    """Return values separated by commas; one that could be taken for several stands in quotes."""
    quoted = ('"' + one.replace('"', '""') + '"' if _LISTED.search(one) else one for one in map(str, values))
    return ", ".join(quoted) or "all"


def moment(day: date, at: datetime | None, setting: Setting) -> Cell:
    """Return a day with its time, by the clock on the site; in full where a spreadsheet's time would say another.

    day  of the deed, on the site
    """
    if at is None:
        return day
    local = at.astimezone(setting.zone)
    told = local.replace(tzinfo=None)
    is_the_same = told.replace(tzinfo=setting.zone).astimezone(UTC) == at
    return told if is_the_same and told.time() != time() and not told.microsecond else local.isoformat()


def writers(form: SheetForm, setting: Setting) -> dict[str, Written]:
    """Return how each column of a sheet writes what its field holds."""
    return {column.name: Written(form, column, setting) for column in form.columns}
