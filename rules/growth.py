"""Thermal growth of a pipe between two temperatures."""

from decimal import Decimal
from itertools import pairwise

from rules.source import Source, Verdict
from rules.tables import table

MATERIALS, EDITIONS = ("carbon", "austenitic"), ("older", "newer")
_BASE_F = Decimal(70)
_PER_100_FT = Decimal(1200)


def growth(
    material: str, start_c: Decimal, end_c: Decimal, length_mm: Decimal, edition: str = "older"
) -> Verdict[Decimal]:
    """Growth in mm of a length warmed (or cooled, then negative) from one temperature in °C to another.

    Raises    ValueError for another material or edition, or a temperature outside the table
    Source    ASME B31.3 Table C-1, which differs by edition
    """
    if material not in MATERIALS or edition not in EDITIONS:
        raise ValueError(
            f'No table for "{material}", {edition}; accepted are {", ".join(MATERIALS)}, {", ".join(EDITIONS)}.'
        )
    start, end = (_fahrenheit(one) for one in (start_c, end_c))
    strain = _strain(material, end, edition) - _strain(material, start, edition)
    value = strain * length_mm
    step = f"{length_mm:f} mm x ({strain * 1000:.4f} mm/m from {start:f} to {end:f} °F) / 1000 = {value:.2f} mm"
    return Verdict(value, (step,), Source("ASME B31.3", "", f"Table C-1 ({edition} edition)", "conflict"))


def _strain(material: str, temperature_f: Decimal, edition: str) -> Decimal:
    """Expansion from 70 °F as a ratio, between two rows by proportion."""
    rows = [
        (Decimal(row["temperature_f"]), Decimal(row[material]))
        for row in table("expansion_b31_3").rows
        if row["edition"] == edition and row[material]
    ]
    if not rows:
        raise ValueError(f"The {edition} table here has no {material} steel; accepted is carbon, or edition older.")
    for (low, at_low), (high, at_high) in pairwise(rows):
        if low <= temperature_f <= high:
            figure = at_low + (at_high - at_low) * (temperature_f - low) / (high - low)
            if edition == "newer":
                return figure * (temperature_f - _BASE_F) / 1_000_000
            return figure / _PER_100_FT
    raise ValueError(f"{temperature_f:f} °F is outside the table; accepted are {rows[0][0]} to {rows[-1][0]} °F.")


def _fahrenheit(celsius: Decimal) -> Decimal:
    """°F to 0.001, as temperatures are typed in whole degrees and kept in °C to 0.0001."""
    return (celsius * 9 / 5 + 32).quantize(Decimal("0.001")).normalize()
