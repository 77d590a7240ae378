"""The values that someone gave a calculator, read by name, with a sentence for what is missing or wrong."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from rules.nearest import NotAccepted
from rules.source import Source
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

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with one value (or, without a field, with all of them together), and what is accepted."""

    field: str
    message: str
    accepted: tuple[str, ...] = ()
    is_missing: bool = False

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" if self.field else self.message


class ComputeError(ValueError):
    """What cannot be computed, a sentence for each fault: a value missing, wrong, or outside the tables."""

    def __init__(self, message: str, *faults: Fault) -> None:
        super().__init__(message)
        self.faults = faults or (Fault("", message),)


def refused(*faults: Fault) -> ComputeError:
    """The refusal that says these faults, one a line."""
    return ComputeError("\n".join(str(fault) for fault in faults), *faults)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a calculator found. Figures are Decimal, int, bool, str, None, or lists and mappings of these."""

    result: Mapping[str, Any]
    steps: Sequence[str]
    source: Source
    notes: Sequence[str] = ()


@dataclass(slots=True)
class Asked:
    """The values by key; a key given empty counts as not given."""

    values: Mapping[str, str]
    units: str = SI
    edition: str = ""
    used: dict[str, str] = field(default_factory=dict)

    def has(self, key: str) -> bool:
        """Whether a value was given."""
        return bool(self.values.get(key, "").strip())

    def text(self, key: str, default: str | None = None) -> str:
        """A text; raises ComputeError where it is missing and has no default."""
        given = self.values.get(key, "").strip()
        if not given:
            if default is None:
                raise ComputeError(f"{key} is missing.", Fault(key, "This is needed.", is_missing=True))
            return default
        self.used[key] = given
        return given

    def choice(self, key: str, accepted: Sequence[str], default: str | None = None) -> str:
        """One of the accepted texts, case ignored."""
        given = self.text(key, default)
        found = next((one for one in accepted if one.casefold() == given.casefold()), None)
        if found is None:
            raise refused(_fault(key, NotAccepted(f'there is no "{given}"', given, accepted)))
        return found

    def yes(self, key: str, default: str | None = None) -> bool:
        """Yes or no."""
        return self.choice(key, ("yes", "no"), default) == "yes"

    def length(self, key: str, default: Decimal | None = None) -> Decimal:
        """A length in mm."""
        return self._read(key, lambda text: parse_length(text, self.units), default)

    def maybe_length(self, key: str) -> Decimal | None:
        """A length in mm, or None where none was given."""
        return self.length(key) if self.has(key) else None

    def number(self, key: str, default: Decimal | None = None) -> Decimal:
        """A plain number."""
        return self._read(key, parse_number, default)

    def maybe_number(self, key: str) -> Decimal | None:
        """A plain number, or None where none was given."""
        return self.number(key) if self.has(key) else None

    def count(self, key: str, default: int | None = None) -> int:
        """A whole number from 0."""
        value = self.number(key, None if default is None else Decimal(default))
        if value != value.to_integral_value() or value < 0:
            told = f'"{self.values.get(key)}" is no count; accepted are whole numbers from 0.'
            raise refused(Fault(key, told, ("whole numbers from 0",)))
        return int(value)

    def temperature(self, key: str) -> Decimal:
        """A temperature in °C."""
        return self._read(key, lambda text: parse_temperature(text, self.units), None)

    def maybe_temperature(self, key: str) -> Decimal | None:
        """A temperature in °C, or None where none was given."""
        return self.temperature(key) if self.has(key) else None

    def strength(self, key: str) -> Decimal:
        """A strength in MPa; without a unit it is in MPa, whatever the job's units."""
        return self._read(key, lambda text: parse_stress(text, SI), None)

    def maybe_strength(self, key: str) -> Decimal | None:
        """A strength in MPa, or None where none was given."""
        return self.strength(key) if self.has(key) else None

    def volts(self) -> Decimal:
        """The voltage in V."""
        return self._read("volts", parse_voltage, None)

    def amps(self) -> Decimal:
        """The current in A."""
        return self._read("amps", parse_current, None)

    def travel(self) -> Decimal:
        """The travel speed in mm/min."""
        return self._read("travel", lambda text: parse_travel(text, self.units), None)

    def day(self, key: str) -> date:
        """A day as ISO 8601."""
        given = self.text(key)
        try:
            return date.fromisoformat(given)
        except ValueError as wrong:
            told = f'"{given}" is no date; accepted are dates such as 2026-03-31.'
            raise refused(Fault(key, told, ("dates such as 2026-03-31",))) from wrong

    @contextmanager
    def about(self, key: str) -> Iterator[None]:
        """Say of a rule's refusal which value it speaks of."""
        try:
            yield
        except ComputeError:
            raise
        except ValueError as wrong:
            raise refused(_fault(key, wrong)) from wrong

    def _read(self, key: str, parse: Callable[[str], T], default: T | None) -> T:
        if default is not None and not self.has(key):
            return default
        given = self.text(key)
        try:
            return parse(given)
        except UnitError as wrong:
            raise refused(_fault(key, wrong)) from wrong


def _fault(key: str, wrong: ValueError) -> Fault:
    return Fault(key, str(wrong), wrong.accepted if isinstance(wrong, NotAccepted) else ())
