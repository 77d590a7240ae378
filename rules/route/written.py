"""Lengths of a route as the trade writes them: mm, or feet and inches."""

from decimal import ROUND_HALF_EVEN, Decimal

from rules.units import US, plain, show_feet


def length_text(mm: Decimal, units: str) -> str:
    """A length with its unit: `1200 mm`, `2' 3-1/2"`."""
    return show_feet(mm) if units == US else f"{dimension_text(mm, units)} mm"


def dimension_text(mm: Decimal, units: str) -> str:
    """A length as a drawing has it, without mm: `1200`, `707.1`."""
    return show_feet(mm) if units == US else plain(mm.quantize(Decimal("0.1"), ROUND_HALF_EVEN))


def elevation_text(mm: Decimal, units: str) -> str:
    """An elevation as a drawing has it: `EL +3200`, `EL -4' 6"`."""
    sign = "-" if mm < 0 else "+"
    return f"EL {sign}{dimension_text(abs(mm), units)}"
