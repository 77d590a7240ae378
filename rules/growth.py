"""Thermal growth of a pipe between two temperatures, and inside a socket against its gap."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from rules.source import Source, Verdict
from rules.tables import basis, table
from rules.units import MM_PER_INCH, SI, US, computed_figure, length_figure, plain, show_length

MATERIALS, EDITIONS = ("carbon", "austenitic"), ("older", "newer")
_BASE_F = Decimal(70)
_PER_100_FT = Decimal(1200)
_Rows = Sequence[tuple[Decimal, Decimal]]


def growth(
    material: str, start_c: Decimal, end_c: Decimal, length_mm: Decimal, edition: str = "older", units: str = SI
) -> Verdict[Decimal]:
    """Growth in mm of a length warmed (or cooled, then negative) from one temperature in °C to another.

    A little below the older table, which begins at 70 °F, its first interval is carried on, and a note says so.
    Raises    ValueError for another material or edition, or a temperature outside the table
    Source    ASME B31.3 Table C-1, which differs by edition
    """
    if material not in MATERIALS or edition not in EDITIONS:
        raise ValueError(
            f'No table for "{material}", {edition}; accepted are {", ".join(MATERIALS)}, {", ".join(EDITIONS)}.'
        )
    start, end = (_fahrenheit(one) for one in (start_c, end_c))
    strain = _strain(material, end, edition, units) - _strain(material, start, edition, units)
    value = strain * length_mm
    rate, over = (
        (f"{strain * _PER_100_FT:.3f} in per 100 ft", 1200) if units == US else (f"{strain * 1000:.4f} mm per m", 1000)
    )
    step = (
        f"{show_length(length_mm, units)} x {rate} ({_degrees(start, units)} to {_degrees(end, units)}) / {over}"
        f" = {_fine(value, units)} {'in' if units == US else 'mm'}"
    )
    tables = (basis("expansion_b31_3"),)
    source = Source("ASME B31.3", "", f"Table C-1 ({edition} edition)", "conflict", tables=tables)
    return Verdict(value, (step,), source, _carried_on(material, min(start, end), edition, units))


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
    notes: tuple[str, ...] = ()


def in_socket(
    pipe_material: str,
    socket_material: str,
    start_c: Decimal,
    pipe_c: Decimal,
    socket_c: Decimal,
    depth_mm: Decimal,
    gap_mm: Decimal,
    edition: str = "older",
    units: str = SI,
) -> SocketGrowth:
    """Differential growth inside a socket: the pipe warms first and grows towards the bottom, the socket follows.

    start_c     of both when the gap was set; pipe_c and socket_c at the moment looked at
    depth_mm    of the socket; the pipe inside is shorter by the gap
    Raises      ValueError for another material or edition, a temperature outside the table, a gap not under the depth
    Source      ASME B31.3 Table C-1; both are held at the weld on the socket's face
    """
    if not 0 <= gap_mm < depth_mm:
        gap, depth = show_length(gap_mm, units), show_length(depth_mm, units)
        raise ValueError(f"A gap of {gap} is not possible in a socket {depth} deep.")
    inside = growth(pipe_material, start_c, pipe_c, depth_mm - gap_mm, edition, units)
    around = growth(socket_material, start_c, socket_c, depth_mm, edition, units)
    closing = inside.value - around.value
    left = gap_mm - closing
    steps = (
        f"pipe: {inside.steps[0]}",
        f"socket: {around.steps[0]}",
        f"gap {length_figure(gap_mm, units)} - ({_fine(inside.value, units)} - {_fine(around.value, units)})"
        f" = {_fine(left, units)} {'in' if units == US else 'mm'} left",
    )
    notes = tuple(dict.fromkeys((*inside.notes, *around.notes)))
    return SocketGrowth(inside.value, around.value, closing, left, steps, inside.source, notes)


def _fine(mm: Decimal, units: str) -> str:
    """A growth to 0.01 mm or 0.001 in, under 10 mm ten times finer."""
    if abs(mm) >= 10:
        return computed_figure(mm, units)
    return f"{mm / MM_PER_INCH:.4f}" if units == US else f"{mm:.3f}"


def _strain(material: str, temperature_f: Decimal, edition: str, units: str) -> Decimal:
    """Expansion from 70 °F as a ratio, between two rows by proportion."""
    rows = _rows(material, edition)
    if edition == "older" and _least_f(rows, edition) <= temperature_f < rows[0][0]:
        return (temperature_f - rows[0][0]) * _first_slope(rows) / _PER_100_FT
    for (low, at_low), (high, at_high) in pairwise(rows):
        if low <= temperature_f <= high:
            figure = at_low + (at_high - at_low) * (temperature_f - low) / (high - low)
            if edition == "newer":
                return figure * (temperature_f - _BASE_F) / 1_000_000
            return figure / _PER_100_FT
    least, most = (_degrees(one, units) for one in (_least_f(rows, edition), rows[-1][0]))
    raise ValueError(f"{_degrees(temperature_f, units)} is outside the table; accepted are {least} to {most}.")


def _carried_on(material: str, lowest_f: Decimal, edition: str, units: str) -> tuple[str, ...]:
    """The note where a temperature lies below the older table."""
    rows = _rows(material, edition)
    if lowest_f >= rows[0][0]:
        return ()
    first, second = (_degrees(one[0], units) for one in rows[:2])
    return (
        f"The table begins at {first}: below it the growth from {first} to {second} is carried on in a straight line, "
        "an assumption and no figure of the code.",
    )


def _first_slope(rows: _Rows) -> Decimal:
    (low, at_low), (high, at_high) = rows[:2]
    return (at_high - at_low) / (high - low)


def _least_f(rows: _Rows, edition: str) -> Decimal:
    """The least temperature that is answered: below the older table as far as its first two rows lie apart."""
    return rows[0][0] if edition == "newer" else 2 * rows[0][0] - rows[1][0]


def _rows(material: str, edition: str) -> _Rows:
    rows = [
        (Decimal(row["temperature_f"]), Decimal(row[material]))
        for row in table("expansion_b31_3").rows
        if row["edition"] == edition and row[material]
    ]
    if not rows:
        raise ValueError(f"The {edition} table here has no {material} steel; accepted is carbon, or edition older.")
    return rows


def _degrees(fahrenheit: Decimal, units: str) -> str:
    """A temperature in the job's units, to a tenth of a degree."""
    degrees, unit = (fahrenheit, "°F") if units == US else ((fahrenheit - 32) * 5 / 9, "°C")
    return f"{plain(degrees.quantize(Decimal('0.1')))} {unit}"


def _fahrenheit(celsius: Decimal) -> Decimal:
    """°F to 0.001, as temperatures are typed in whole degrees and kept in °C to 0.0001."""
    return (celsius * 9 / 5 + 32).quantize(Decimal("0.001")).normalize()
