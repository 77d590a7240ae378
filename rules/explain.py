"""A term worked out on one record, written as arithmetic a person can follow."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from rules.terms import measure
from rules.units import figure, plain, show_length, unit_shown

_UNITS = {"volts": "V", "amps": "A", "travel_mm_min": "mm/min", "arc_time_s": "s", "preheat_c": "°C"}
_SIGNS = {"times": " x ", "minus": " - ", "over": " / "}


def arithmetic(term: Any, record: Any, unit: str, units: str) -> tuple[str, ...]:
    """How the value of a composite term came about, as one line; nothing for a value that was read off as it is.

    unit    of the value, as in the requirement; lengths are shown in the job's units
    """
    used = _used(term, record)
    if used is None or used[0] == "field":
        return ()
    value = measure(used)(record)
    result = show_length(value, units) if unit == "mm" else f"{figure(value, unit, units)} {unit_shown(unit, units)}"
    return (f"{_written(used, record, units)} = {result}",)


def _used(term: Any, record: Any) -> Any:
    """The term with each choice replaced by what it chose, None where the record is silent."""
    if not isinstance(term, (list, tuple)):
        return term
    if term[0] == "first":
        return next((_used(one, record) for one in term[1:] if measure(one)(record) is not None), None)
    if term[0] in _SIGNS:
        return [term[0], *(_used(one, record) for one in term[1:])]
    return term


def _written(term: Any, record: Any, units: str) -> str:
    if not isinstance(term, (list, tuple)):
        return plain(Decimal(str(term)))
    operator, *operands = term
    if operator == "field":
        return _field(operands[0], getattr(record, operands[0]), units)
    if operator in _SIGNS:
        parts = [_written(one, record, units) for one in operands]
        if operator == "over" and " x " in parts[1]:
            parts[1] = f"({parts[1]})"
        return _SIGNS[operator].join(parts)
    value = measure(term)(record)
    return f"{operator} of {_among(operands, record, units)} ({show_length(value, units)})"


def _among(operands: Sequence[Any], record: Any, units: str) -> str:
    """What the least or greatest was chosen from."""
    if operands[0][0] == "each":
        values = getattr(record, operands[0][1])
        return ", ".join(f"{show_length(value, units)} at {place}" for place, value in values.items())
    known = [one for one in operands if measure(one)(record) is not None]
    return ", ".join(_written(one, record, units) for one in known)


def _field(name: str, value: Any, units: str) -> str:
    if name.endswith("_mm"):
        return show_length(value, units)
    return f"{plain(value)} {_UNITS.get(name, '')}".rstrip()
