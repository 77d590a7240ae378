"""How typed figures are read, as data: a device without signal reads them by it, as `rules.units` does on the site."""

from fractions import Fraction
from typing import Any

from rules.units import (
    FEET,
    IN_AMPS,
    IN_MM,
    IN_MM_A_MINUTE,
    IN_SECONDS,
    IN_VOLTS,
    LENGTH,
    MARKS,
    MIXED,
    MM_PER_INCH,
    QUANTITY,
    TAPE_SIGNS,
    US,
    WIDTHS,
)

# The unit that records keep, the unit of a bare number on a US and on an SI job, what each unit is in it, the places.
_SCALED = {
    "A": ("a", "a", IN_AMPS, 4),
    "V": ("v", "v", IN_VOLTS, 4),
    "s": ("s", "s", IN_SECONDS, 4),
    "mm/min": ("in/min", "mm/min", IN_MM_A_MINUTE, 6),
}
# Degrees are not in proportion: what is taken off first, then the factor.
_DEGREES = {"c": ("0", "1"), "celsius": ("0", "1"), "f": ("32", "5/9"), "fahrenheit": ("32", "5/9")}
# Signs and what each is read as.
_SIGNS = {sign: chr(one) for sign, one in WIDTHS.items()} | MARKS
# What a figure as records keep it is times to be in the unit that a US job reads.
_US_READS = {"mm": 1 / Fraction(MM_PER_INCH), "mm/min": 1 / Fraction(MM_PER_INCH), "kJ/mm": Fraction(MM_PER_INCH)}


def shown_by(unit: str, units: str) -> str:
    """Return the factor that brings a figure kept in `unit` into the unit that the job reads; of no temperature."""
    return str(_US_READS.get(unit, 1) if units == US else 1)


def reading(units: str) -> dict[str, Any]:
    """Return what it takes to read figures typed on a job of these units (US or SI), each fraction as text.

    patterns  regular expressions that a whole text must match, in the syntax that Python and browsers share
    scaled    by the unit that records keep: the unit of a bare number, for each unit what is taken off and the factor
              that follows, and the decimals that are kept
    """
    scaled = {
        kept: {"bare": us if units == US else si, "units": _of(factors), "places": places}
        for kept, (us, si, factors, places) in _SCALED.items()
    }
    degrees = {"bare": "f" if units == US else "c", "units": dict(_DEGREES), "places": 4}
    return {
        "patterns": {
            "length": LENGTH.pattern, "feet": FEET.pattern, "mixed": MIXED.pattern, "quantity": QUANTITY.pattern,
        },
        "marks": {chr(sign): one.translate(MARKS) for sign, one in _SIGNS.items()},
        "tape": TAPE_SIGNS,
        "length": {"bare": "in" if units == US else "mm", "units": {name: str(one) for name, one in IN_MM.items()}},
        "scaled": scaled | {"°C": degrees},
    }  # fmt: skip


def _of(factors: dict[str, Fraction]) -> dict[str, tuple[str, str]]:
    return {name: ("0", str(factor)) for name, factor in factors.items()}
