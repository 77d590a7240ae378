"""Quantities of filler metal as they are written on an issue slip: by weight, or counted."""

import re
from decimal import ROUND_HALF_EVEN, Decimal

from rules.units import US, UnitError, held, plain

KG, PIECES = "kg", "pieces"
_FORM = re.compile(r"\s*([0-9]+(?:\.[0-9]*)?|\.[0-9]+)\s*([a-z]*)\.?\s*", re.IGNORECASE)
_ACCEPTED = "accepted are weights and counts such as 5 lb, 2.5 kg and 20 pieces"
KG_PER_LB = Decimal("0.45359237")
_IN_KG = {"kg": Decimal(1), "g": Decimal("0.001"), "lb": KG_PER_LB, "lbs": KG_PER_LB}
_COUNTED = ("pieces", "piece", "pcs", "pc", "rods", "rod", "electrodes", "electrode")
_MOST = Decimal(100_000)


def parse_filler(text: str, units: str) -> tuple[Decimal, str]:
    """Return a quantity of filler as (kg, "kg") or (count, "pieces").

    text    a number with lb, kg, g, pieces, rods or electrodes; a bare number is lb on a US job, kg on an SI job
    Raises  UnitError for anything else, for nothing, and for part of a piece
    """
    found = _FORM.fullmatch(held(text))
    unit = (found[2].lower() or ("lb" if units == US else "kg")) if found else ""
    if not found or (unit not in _IN_KG and unit not in _COUNTED):
        raise UnitError(f'"{text.strip()[:40]}" is no quantity of filler; {_ACCEPTED}.')
    number = Decimal(found[1])
    if unit in _COUNTED and number != number.to_integral_value():
        raise UnitError(f'"{text.strip()[:40]}" is part of a piece; {_ACCEPTED}.')
    if not 0 < number <= _MOST:
        raise UnitError(f'"{text.strip()[:40]}" can\'t be a quantity of filler; {_ACCEPTED}.')
    if unit in _COUNTED:
        return number.quantize(Decimal(1)), PIECES
    return (number * _IN_KG[unit]).quantize(Decimal("0.0001"), ROUND_HALF_EVEN), KG


def show_filler(amount: Decimal, unit: str, units: str) -> str:
    """Return a quantity in the job's units: "5 lb", "2.5 kg", "20 pieces"."""
    if unit == KG and units == US:
        return f"{plain((amount / KG_PER_LB).quantize(Decimal('0.01'), ROUND_HALF_EVEN))} lb"
    if unit == KG:
        return f"{plain(amount)} kg"
    return f"{plain(amount)} {'piece' if amount == 1 else 'pieces'}"
