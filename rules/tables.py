"""The tables of standards, read once from CSV: comment lines say source, edition, units and state."""

import csv
import re
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


def row_keys(name: str) -> tuple[str, ...]:
    """What tells the rows of a table apart, in their order: as few of its first columns as do, `1/2, 3000`."""
    return tuple(_key(row, _width(name)) for row in table(name).rows)


def basis(name: str, row: Mapping[str, str] | None = None) -> tuple[str, str]:
    """A table, or one row of it, as a source names what its figure comes from."""
    return (name, "" if row is None else _key(row, _width(name)))


@cache
def _width(name: str) -> int:
    """How many of a table's first columns tell its rows apart."""
    rows = table(name).rows
    widths = range(1, len(rows[0]) + 1)
    return next((width for width in widths if len({_key(row, width) for row in rows}) == len(rows)), len(rows[0]))


def _key(row: Mapping[str, str], width: int) -> str:
    # A row without conditions holds where no other does; its key must not be that of the whole table.
    return ", ".join(value for value in list(row.values())[:width] if value) or "any"


_UNITS = {"mm": "mm", "in": "in", "inch": "in", "c": "°C", "f": "°F", "h": "hours", "min": "minutes", "mpa": "MPa"}
_UNITS |= {"ksi": "ksi", "psi": "psi", "kpa": "kPa", "percent": "%", "us": "US"}
# What a column's name would say wrongly word by word.
_COLUMNS = {
    "k": "factor k",
    "kg_per_m3": "kg/m³",
    "only_p": "only P-Numbers",
    "min_c": "least (°C)",
    "max_c": "greatest (°C)",
    "min_f": "least (°F)",
    "max_f": "greatest (°F)",
    "layers_min": "least layers",
    "greatest_us": "greatest (ksi)",
    "least_us": "least (ksi)",
    "preheat_c": "preheat (°C)",
}


@cache
def column_called(name: str) -> str:
    """A column's name as it is read: `wall over (mm)`, `state (US)`, `P-Number`."""
    if name in _COLUMNS:
        return _COLUMNS[name]
    head, _, last = name.rpartition("_")
    told = f"{head} ({_UNITS[last]})" if head and last in _UNITS else name
    numbered = _NUMBERS.sub(lambda found: f"{found[1].upper()}-Number", told).replace("_", " ")
    return _SHORT.sub(lambda found: found[0].upper(), numbered)


_NUMBERS, _SHORT = re.compile(r"\b([paf])_number"), re.compile(r"\b(nps|dn|od|rt|vt)\b")


@cache
def called(name: str) -> str:
    """A table's name as it is read: `socket fittings`, `diameters QW-452.3`, `leak tests B31.3`."""
    name = _CALLED.get(name, name)
    numbered = re.sub(r"_qw(\d+)_?(\w*)", lambda found: f" QW-{found[1]}{found[2] and '.' + found[2]}", name)
    return re.sub(r"b31_(\d)", r"B31.\1", numbered).replace("_", " ")


def state_called(state: str) -> str:
    """How far a table was checked, as it is read: `from memory`, `row by row; positions from memory`."""
    whole, semicolon, rest = state.partition(";")
    words = {"memory": "from memory", "practice": "common practice", "per row": "row by row"}
    return words.get(whole, whole) + semicolon + rest


_CALLED = {
    "a_numbers_qw442": "A-Numbers_qw442",
    "f_numbers_qw433": "F-Numbers_qw433",
    "p_numbers_qw423": "P-Numbers_qw423",
    "leak_test_b31_1": "leak_tests_b31_1",
    "leak_test_b31_3": "leak_tests_b31_3",
    "rounded_indications_viii_4": "rounded_indications Section VIII Appendix 4",
}
