"""What an import would write: rows of the plan, new or changed, and how each sheet fares."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from itertools import islice
from typing import Any, TypeVar, cast

from django.db.models import Model

from office.importing.columns import header
from office.importing.tables import Table
from records.canonical import decimal_text
from records.models import Job
from records.models.base import new_id
from rules.units import CONVERTED, shown

M = TypeVar("M", bound=Model)
_UNITS = {
    "mm": "mm", "c": "°C", "kpa": "kPa", "mpa": "MPa", "percent": "%", "mm_min": "mm/min", "kj_mm": "kJ/mm",
    "degrees": "degrees",
}  # fmt: skip


MOST_SHOWN = 5


@dataclass(slots=True)
class Count:
    """How many rows of a sheet are new, changed and unchanged.

    first  the indexes of the first few rows of each fate, to be shown
    """

    new: int = 0
    changed: int = 0
    unchanged: int = 0
    first: dict[str, list[int]] = field(default_factory=dict)

    def take(self, fate: str, index: int) -> None:
        """Count one row as `new`, `changed` or `unchanged`."""
        setattr(self, fate, getattr(self, fate) + 1)
        self.show(fate, (index,))

    def show(self, fate: str, indexes: Iterable[int]) -> None:
        """Keep the first few rows of a fate that were counted."""
        kept = self.first.setdefault(fate, [])
        kept.extend(islice(indexes, MOST_SHOWN - len(kept)))


@dataclass(slots=True)
class Changes:
    """Everything to write, by model, and what is told of it."""

    job: Job
    rows: dict[type[Model], list[Model]] = field(default_factory=dict)
    counts: dict[str, Count] = field(default_factory=dict)
    told: list[str] = field(default_factory=list)

    def count(self, sheet: str) -> Count:
        """Return a sheet's count."""
        return self.counts.setdefault(sheet, Count())

    def of(self, model: type[M]) -> list[M]:
        """Return the rows of a model that are to be written."""
        return cast(list[M], self.rows.get(model, []))

    def add(self, row: Model) -> None:
        """Note a row to write."""
        self.rows.setdefault(type(row), []).append(row)

    def put(self, table: Table, index: int, stored: Model | None, values: dict[str, Any], model: type[Model]) -> Model:
        """Make a row of the plan, or change the stored one; a row that says what is stored is left.

        values  by field name or column name (line_id), without those that the sheet leaves blank
        """
        count = self.count(table.sheet)
        if stored is None:
            row = model(id=new_id(), job_id=self.job.id, **values)
            count.take("new", index)
            self.add(row)
            return row
        differing = change(stored, values, self.job.units, _named(table, index, values))
        if differing:
            count.take("changed", index)
            self.told.append(f"{table.sheet}!row {table.numbers[index]}: {', '.join(differing)}")
            self.add(stored)
        else:
            count.take("unchanged", index)
        return stored


def _named(table: Table, index: int, values: Iterable[str]) -> dict[str, str]:
    """What a row names, by the field that refers to it: the exam plan, the spool."""
    found = {name: table.form.by_header.get(header(field_words(name))) for name in values if name.endswith("_id")}
    return {name: str(table.column(column.name)[index] or "") for name, column in found.items() if column}


def change(row: Model, values: dict[str, Any], units: str, named: Mapping[str, str] = {}) -> list[str]:
    """Set values on a stored row; return what differed, each as `name old -> new` in the job's units.

    named   what is to be read for a value that refers to another row
    """
    differing = []
    for name, value in values.items():
        old = getattr(row, name)
        if old != value:
            before, after = spoken(name, old, units), spoken(name, value, units)
            if before == after:  # alike as rounded for the job: told as they are kept
                before, after = spoken(name, old), spoken(name, value)
            differing.append(f"{field_words(name)} {before} -> {named.get(name) or after}")
            setattr(row, name, value)
    return differing


def spoken(name: str, value: Any, units: str = "") -> str:
    """Return a stored value as a person reads it, with the unit that its name ends with.

    units   the job's, whose unit takes the place of the one the value is kept in; as kept where left out
    """
    if value is None or value == "":
        return "nothing"
    if isinstance(value, Decimal):
        unit = next((_UNITS[end] for end in ("mm_min", "kj_mm", *_UNITS) if name.endswith(f"_{end}")), "")
        if units and unit in CONVERTED:
            return shown(value, unit, units)
        return f"{decimal_text(value)} {unit}".rstrip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(map(str, value)) or "all"
    if isinstance(value, dict):
        return ", ".join(f"{key} {item}" for key, item in value.items())
    if name.endswith("_id"):
        return "another" if value else "nothing"
    return value.isoformat() if isinstance(value, date) else str(value)


def field_words(name: str) -> str:
    """A field's name as a person reads it, without the unit it ends with."""
    for end in ("_mm_min", "_kj_mm", "_mm", "_c", "_kpa", "_mpa", "_id", "_on"):
        if name.endswith(end):
            return name.removesuffix(end).replace("_", " ")
    return name.replace("_", " ")


def matched(
    table: Table,
    keys: Sequence[tuple[Any, ...]],
    finer: Sequence[tuple[Any, ...]],
    stored: Iterable[tuple[Any, Any, Any]],
) -> list[Any]:
    """Return, for each row, the stored row of its identity, or None.

    keys, finer  the rows' identity, and what tells rows of one identity apart
    stored       (row, identity, finer) of what the database has
    Where one row and one stored row have an identity, they are the same even if the finer values differ.
    """
    by_key: dict[tuple[Any, ...], list[tuple[Any, tuple[Any, ...]]]] = {}
    for row, key, fine in stored:
        by_key.setdefault(key, []).append((row, fine))
    times: dict[tuple[Any, ...], int] = {}
    for key in keys:
        times[key] = times.get(key, 0) + 1
    found = []
    for key, fine in zip(keys, finer, strict=True):
        there = by_key.get(key, [])
        if len(there) == 1 and times[key] == 1:
            found.append(there[0][0])
        else:
            found.append(next((row for row, other in there if other == fine), None))
    return found
