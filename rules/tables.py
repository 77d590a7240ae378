"""The tables of standards, read once from CSV: comment lines say source, edition, units and state."""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path

from rules.units import US, parse_length

FOLDER = Path(__file__).with_name("tables")


@dataclass(frozen=True, slots=True)
class Table:
    """One table: its title, the figures' origin, and its rows as text."""

    name: str
    title: str
    source: str
    edition: str
    units: str
    state: str
    rows: tuple[Mapping[str, str], ...]


def length_of(row: Mapping[str, str], name: str, units: str) -> Decimal | None:
    """A length of a row in mm, from the column of the unit system (`name_in` or `name_mm`); None where it is empty."""
    text = row.get(f"{name}_{'in' if units == US else 'mm'}", "")
    return parse_length(text, units) if text else None


def given(value: Decimal | None) -> Decimal:
    """A figure that the row must have; raises ValueError where it has none."""
    if value is None:
        raise ValueError("The table has no figure here.")
    return value


@cache
def table(name: str) -> Table:
    """The table of this name; raises KeyError for a name that has none, with the names there are."""
    path = FOLDER / f"{name}.csv"
    if not path.is_file():
        raise KeyError(f"No table {name!r}; there are {', '.join(table_names())}.")
    lines = path.read_text(encoding="utf-8").splitlines()
    comments = [line.lstrip("# ").strip() for line in lines if line.startswith("#")]
    heads = dict(line.split(": ", 1) for line in comments[1:] if ": " in line)
    rows = tuple(csv.DictReader(line for line in lines if line and not line.startswith("#")))
    return Table(
        name=name,
        title=comments[0],
        source=heads["source"],
        edition=heads["edition"],
        units=heads["units"],
        state=heads["state"],
        rows=rows,
    )


@cache
def table_names() -> tuple[str, ...]:
    """The names of all tables, in alphabetical order."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.csv")))
