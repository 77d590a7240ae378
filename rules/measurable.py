"""Computed lengths as one can measure them: to the marks of a rule, a limit to the safe side."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from rules.units import LEAST, MM_PER_INCH, US, show_length


def round_limit(mm: Decimal, bound: str, units: str) -> Decimal:
    """A computed limit as one can measure it, in mm: a least goes up to the next 1/32 in or 0.5 mm, a greatest down.

    bound   "least" or "greatest"
    """
    step = MM_PER_INCH / 32 if units == US else Decimal("0.5")
    steps = (mm / step).to_integral_value(ROUND_CEILING if bound == LEAST else ROUND_FLOOR)
    return steps * step


def on_a_rule(mm: Decimal, units: str) -> Decimal:
    """A length as one reads it off a rule, in mm: to the nearest 1/32 in or 0.5 mm. For what is set, never a limit."""
    step = MM_PER_INCH / 32 if units == US else Decimal("0.5")
    return (mm / step).to_integral_value(ROUND_HALF_EVEN) * step


def show_limit(mm: Decimal, bound: str, units: str) -> str:
    """A computed limit with its unit, rounded to the safe side."""
    return show_length(round_limit(mm, bound, units), units)
