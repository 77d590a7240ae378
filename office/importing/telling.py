"""Rows of a sheet in words, for whoever looks before they write."""

from collections.abc import Sequence
from itertools import islice
from typing import Any

from office.importing.changes import MOST_SHOWN, Count, spoken
from office.importing.columns import Column
from office.importing.parsers import NOTHING, Moment, Setting
from office.importing.shop_sheets import Quantity
from office.importing.tables import Table

REFUSED = "refused"
_LONGEST = 400
Shown = dict[str, list[tuple[int, str]]]


def first_rows(table: Table, count: Count, setting: Setting) -> Shown:
    """Return the first few rows of each fate as (row number, words); refused ones too, as far as they can be read."""
    refused = islice((index for index, is_sound in enumerate(table.sound) if not is_sound), MOST_SHOWN)
    fates: dict[str, Sequence[int]] = {**count.first, REFUSED: list(refused)}
    return {
        fate: [(table.numbers[index], row_in_words(table, index, setting)) for index in indexes]
        for fate, indexes in fates.items()
        if indexes
    }


def row_in_words(table: Table, index: int, setting: Setting) -> str:
    """Return a row as `column value, column value`, measurements as they were typed."""
    said = []
    for column in table.form.columns:
        value = table.values[column.name][index] if column.name in table.values else None
        if value is not None:
            typed = table.cells[column.name][index] if column.name in table.cells else None
            said.append(f"{column.name} {in_words(column, value, setting) if typed is None else typed}")
    words = ", ".join(said)
    return words if len(words) <= _LONGEST else f"{words[:_LONGEST]}..."


def in_words(column: Column, value: Any, setting: Setting) -> str:
    """Return a cell's value as a person reads it, in the units and the time of the job."""
    if value is NOTHING:
        return "none"
    if isinstance(value, Moment):
        return f"{value.at.astimezone(setting.zone):%Y-%m-%d %H:%M}" if value.at else str(value.day)
    if isinstance(value, Quantity):
        return f"{spoken('', value.amount)} {value.unit}"
    return spoken(column.field or column.name, value, setting.units)
