"""The unit that a heading states, as "Gap (mm)" or "Size DN" does: it is that of every bare number below."""

import re
from collections.abc import Sequence
from typing import Any

from office.importing.accepts import accepts_of
from office.importing.cells import CellError, as_text, number_text, shown
from office.importing.columns import Column, header
from office.importing.parsers import Setting, nps

_STATED = re.compile(r"(?:\(([^()]++)\)|\[([^\[\]]++)\]|,\s*+([^\s,()\[\]]++))\s*+$")
_LAST_WORD = re.compile(r"[\w\s-]*[\s_]([^\s_]+)\s*$")
_BARE = re.compile(r"[-+\u2212\u2013]?[\d\s.,/\u00bc-\u00be\u215b-\u215e-]*[\d\u00bc-\u00be\u215b-\u215e.,]\s*")
# What the template itself, and people, say of a column in brackets.
_REMARKS = frozenset({"needed", "optional", "read", "measured", "typed", "actual", "nominal"})
_BEFORE = frozenset({"DN", "NPS"})


def stated(written: str) -> str:
    """Return what a heading says in brackets or after a comma at its end."""
    found = _STATED.search(written)
    return next((part.strip() for part in found.groups() if part), "") if found else ""


def without(written: str) -> str:
    """Return a heading without what it says in brackets or after a comma at its end."""
    return _STATED.sub("", written)


def without_last_word(written: str) -> tuple[str, str]:
    """Part a heading of its last word, as "Size" and "DN"; both are empty where it has one word only."""
    last = _LAST_WORD.fullmatch(written)
    return (written[: last.start(1)], last[1]) if last else ("", "")


def kept_with(column: Column | None, written: str) -> str:
    """Return a column's name for a person's own heading, with the unit that the heading states."""
    if column is None:
        return ""
    said = stated(written)
    if not said and header(written) != header(column.name):
        word = written.strip() if written.strip().upper() in _BEFORE else ""
        last = _LAST_WORD.fullmatch(written)
        said = word or (last[1] if last and header(last[1]) not in header(column.name) else "")
        said = said if said and is_unit(column, said) else ""
    return f"{column.name} ({said})" if said else column.name


def unit_of(column: Column, written: str, setting: Setting) -> tuple[str, str, str]:
    """Return the unit that a heading states of a column, what is wrong with it, and what is only worth knowing."""
    said = stated(written)
    if not said or said.casefold() in _REMARKS or not _has_units(column):
        return "", "", ""
    if is_unit(column, said):
        return said, "", ""
    accepts = "in, or DN" if column.parse is nps else accepts_of(column.parse).in_units(setting.units)
    if " " in said:
        return "", "", f"{shown(said)} in the heading is no unit and is left aside; accepted: {accepts}"
    sentence = f"the heading says {shown(said)}, which is no unit of {column.name}; accepted: {accepts}"
    return "", f"{sentence}. Write the unit that is meant, or none", ""


def with_unit(cells: Sequence[Any], unit: str) -> list[Any]:
    """Return the cells with a unit behind each bare number; a cell that says its own unit keeps it."""
    return [_with_unit(cell, unit) for cell in cells] if unit else list(cells)


def _with_unit(cell: Any, unit: str) -> Any:
    if type(cell) in (float, int):
        said = number_text(cell)
    elif type(cell) is str and _BARE.fullmatch(cell):
        said = cell.strip()
    else:
        return cell
    return f"{unit} {said}" if unit.upper() in _BEFORE else f"{said} {unit}"


def _has_units(column: Column) -> bool:
    return column.parse is nps or accepts_of(column.parse).is_quantity


def is_unit(column: Column, said: str) -> bool:
    """Whether a column reads a number with this behind it; what a bare number means does not matter to that."""
    if not _has_units(column):
        return False
    if column.parse is nps:
        return said.upper() in _BEFORE or said.casefold().rstrip(".") in ("in", "inch", "inches", '"')
    try:
        column.parse(as_text(f"1 {said}"), _ANY)
    except CellError:
        return False
    return True


_ANY = Setting("SI", None, None)  # type: ignore[arg-type]  # quantities ask neither zone nor day
