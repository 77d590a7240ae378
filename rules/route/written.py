"""Lengths of a route as the trade writes them: mm, or feet and inches."""

from decimal import ROUND_HALF_EVEN, Decimal

from rules.route.vector import Vector
from rules.units import US, plain, show_feet


def length_text(mm: Decimal, units: str) -> str:
    """A length with its unit: `1200 mm`, `2' 3-1/2"`."""
    return show_feet(mm) if units == US else f"{dimension_text(mm, units)} mm"


def dimension_text(mm: Decimal, units: str) -> str:
    """A length as a drawing has it, without mm: `1200`, `707.1`."""
    return show_feet(mm) if units == US else plain(mm.quantize(Decimal("0.1"), ROUND_HALF_EVEN))


def elevation_text(mm: Decimal, units: str) -> str:
    """An elevation as a drawing has it: `EL +3200`, `EL -4' 6"`."""
    return f"EL {_signed(mm, units, '+')}"


def coordinates_text(at: Vector, units: str) -> tuple[str, str, str]:
    """A place as a drawing has it: `E 1000`, `N -4' 6"`, `EL +3200`."""
    return f"E {_signed(at.east, units)}", f"N {_signed(at.north, units)}", elevation_text(at.up, units)


def _signed(mm: Decimal, units: str, plus: str = "") -> str:
    """A length on either side of zero; what is written as zero has no minus."""
    text = dimension_text(abs(mm), units)
    is_under = mm < 0 and any(figure in "123456789" for figure in text)
    return f"{'-' if is_under else plus}{text}"
