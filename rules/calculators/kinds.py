"""How the value of each kind of field is read and what is accepted, in the unit system it is typed in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from rules.leak_test import read_pressure
from rules.pipe import parse_class, parse_nps, parse_schedule
from rules.units import (
    SI,
    UnitError,
    parse_current,
    parse_length,
    parse_number,
    parse_stress,
    parse_temperature,
    parse_travel,
    parse_voltage,
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of value: how it is read, what a bare figure is taken for, and the forms that are accepted.

    read       text and unit system in, a figure out; raises ValueError with a sentence
    us, si     the unit of a bare figure in each unit system, empty where there is none
    forms      what is accepted, as a person types it
    is_figure  whether a phone should offer its number pad
    is_closed  whether only what is offered is taken; `read` then gives the value as the offer has it
    is_picked  whether it is picked from a list though its reader knows more spellings, or depends on another value
    """

    read: Callable[[str, str], Any]
    us: str = ""
    si: str = ""
    forms: tuple[str, ...] = ()
    is_figure: bool = False
    is_closed: bool = False
    is_picked: bool = False

    def unit(self, units: str) -> str:
        """The unit of a bare figure."""
        return self.si if units == SI else self.us


def _count(text: str, _units: str) -> Decimal:
    value = parse_number(text)
    if value != value.to_integral_value() or value < 0:
        raise UnitError(f'"{text}" is no count; accepted are whole numbers from 0.')
    return value


def _number(text: str, _units: str) -> Decimal:
    value = parse_number(text)
    if value < 0:
        raise UnitError(f'"{text}" is negative; accepted are figures from 0, such as 0.5 or 12.')
    return value


def _percent(text: str, units: str) -> Decimal:
    value = _number(text.strip().removesuffix("%").strip(), units)
    if value > 100:
        raise UnitError(f'"{text}" is over 100 percent; accepted are figures from 0 to 100, such as 0.22.')
    return value


def _day(text: str, _units: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError as wrong:
        raise UnitError(f'"{text}" is no date; accepted are dates such as 2026-03-31.') from wrong


_LENGTHS = ("1/8 in", "3-3/8 in", "2' 3-1/2\"", "40 mm", "4 cm", "1.2 m")
KINDS: Mapping[str, Kind] = {
    "length": Kind(parse_length, "in", "mm", _LENGTHS),
    "temperature": Kind(parse_temperature, "°F", "°C", ("200 F", "93 C")),
    "pressure": Kind(read_pressure, "psi", "kPa", ("150 psi", "10 bar", "1000 kPa", "1 MPa")),
    "strength": Kind(lambda text, _units: parse_stress(text, SI), "MPa", "MPa", ("70 ksi", "70000 psi", "485 MPa")),
    "travel": Kind(parse_travel, "in/min", "mm/min", ("4 in/min", "4 ipm", "100 mm/min")),
    "current": Kind(lambda text, _units: parse_current(text), "A", "A", ("140 A", "140"), True),
    "voltage": Kind(lambda text, _units: parse_voltage(text), "V", "V", ("12 V", "12"), True),
    "number": Kind(_number, forms=("figures from 0",), is_figure=True),
    "percent": Kind(_percent, "%", "%", ("figures from 0 to 100",), True),
    "count": Kind(_count, forms=("whole numbers from 0",), is_figure=True),
    "date": Kind(_day, forms=("dates such as 2026-03-31",)),
    "nps": Kind(parse_nps, is_picked=True),
    "schedule": Kind(lambda text, _units: parse_schedule(text), is_picked=True),
    "class": Kind(lambda text, _units: parse_class(text), is_closed=True),
    "choice": Kind(lambda text, _units: text.strip(), is_closed=True),
    "text": Kind(lambda text, _units: text),
}
