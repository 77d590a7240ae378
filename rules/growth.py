"""Thermal growth of a pipe between two temperatures, and inside a socket against its gap."""

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from rules.source import Source, Verdict
from rules.tables import basis, table

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
    tables = (basis("expansion_b31_3"),)
    source = Source("ASME B31.3", "", f"Table C-1 ({edition} edition)", "conflict", tables=tables)
    return Verdict(value, (step,), source)


@dataclass(frozen=True, slots=True)
class SocketGrowth:
    """How pipe and socket grow from the weld at the socket's face to the pipe's end, and what is left of the gap.

    left_mm   negative: the pipe would press on the bottom by this much
    """

    pipe_mm: Decimal
    socket_mm: Decimal
    closing_mm: Decimal
    left_mm: Decimal
    steps: tuple[str, ...]
    source: Source


def in_socket(
    pipe_material: str,
    socket_material: str,
    start_c: Decimal,
    pipe_c: Decimal,
    socket_c: Decimal,
    depth_mm: Decimal,
    gap_mm: Decimal,
    edition: str = "older",
) -> SocketGrowth:
    """Differential growth inside a socket: the pipe warms first and grows towards the bottom, the socket follows.

    start_c     of both when the gap was set; pipe_c and socket_c at the moment looked at
    depth_mm    of the socket; the pipe inside is shorter by the gap
    Raises      ValueError for another material or edition, a temperature outside the table, a gap not under the depth
    Source      ASME B31.3 Table C-1; both are held at the weld on the socket's face
    """
    if not 0 <= gap_mm < depth_mm:
        raise ValueError(f"A gap of {gap_mm:f} mm is not possible in a socket {depth_mm:f} mm deep.")
    inside = growth(pipe_material, start_c, pipe_c, depth_mm - gap_mm, edition)
    around = growth(socket_material, start_c, socket_c, depth_mm, edition)
    closing = inside.value - around.value
    left = gap_mm - closing
    steps = (
        f"pipe: {inside.steps[0]}",
        f"socket: {around.steps[0]}",
        f"gap {gap_mm:f} - ({inside.value:.3f} - {around.value:.3f}) = {left:.3f} mm left",
    )
    return SocketGrowth(inside.value, around.value, closing, left, steps, inside.source)


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
