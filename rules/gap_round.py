"""The gap all round a pipe: from a crooked cut or from four readings; two members square to each other."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, localcontext

from rules.source import Source, Verdict
from rules.units import MM_PER_INCH, SI, US, show_length

CLOCK = ("12", "3", "6", "9")
GEOMETRY = Source("geometry", state="checked")
_PRACTICE = Source("common practice", state="practice")
# What a tape or gauge shows: two readings this near each other agree.
_READING_MM = {US: MM_PER_INCH / 32, SI: Decimal("0.5")}


@dataclass(frozen=True, slots=True)
class GapRound:
    """The least and the greatest gap round the pipe, and how far the end is out of square across its diameter."""

    least_mm: Decimal
    greatest_mm: Decimal
    out_of_square_mm: Decimal
    steps: tuple[str, ...]
    notes: tuple[str, ...] = ()


def from_cut(
    out_of_square_mm: Decimal,
    backed_off_mm: Decimal,
    *,
    od_mm: Decimal | None = None,
    measured_over_mm: Decimal | None = None,
    units: str = SI,
) -> GapRound:
    """The gap round a pipe whose end was cut out of square, stood on the socket's bottom and backed off.

    The longest side stands on the bottom, so that the gap there is what the pipe was backed off, and opposite that much
    more as the cut is out of square.
    measured_over_mm   the length of the square's blade over which it was measured; None: over the outside diameter
    Raises    ValueError for a negative value, or a length without the diameter
    Source    geometry
    """
    if out_of_square_mm < 0 or backed_off_mm < 0:
        raise ValueError("A cut and a gap cannot be negative; accepted are lengths from 0.")
    steps, across = [], out_of_square_mm
    if measured_over_mm is not None:
        if od_mm is None or measured_over_mm <= 0 or od_mm <= 0:
            raise ValueError("Out of square over a length needs that length and the outside diameter, both over 0 mm.")
        across = out_of_square_mm * od_mm / measured_over_mm
        told = f"{show_length(out_of_square_mm, units)} over {show_length(measured_over_mm, units)}"
        steps.append(f"{told} is {_shown(across, units)} over the diameter {show_length(od_mm, units)}")
    greatest = backed_off_mm + across
    steps += [
        f"least: backed off {show_length(backed_off_mm, units)}",
        f"greatest, opposite: that + {_shown(across, units)} = {_shown(greatest, units)}",
    ]
    notes = ("Not backed off, the long side stands on the bottom.",) if backed_off_mm == 0 else ()
    return GapRound(backed_off_mm, greatest, across, tuple(steps), notes)


def from_readings(readings: Mapping[str, Decimal], units: str = SI) -> GapRound:
    """The gap round a pipe from its readings at 12, 3, 6 and 9 o'clock.

    A plane end's gap runs as mean + a cos + b sin round the clock, so that its extremes can lie between two readings;
    they are never taken as nearer than the readings themselves.
    Raises    ValueError naming the positions that are missing, or a negative reading
    Source    geometry
    """
    if missing := [place for place in CLOCK if place not in readings]:
        raise ValueError(f"The reading at {', '.join(missing)} o'clock is missing; accepted are 12, 3, 6 and 9.")
    top, right, bottom, left = (readings[place] for place in CLOCK)
    if min(top, right, bottom, left) < 0:
        raise ValueError("A gap cannot be negative; accepted are lengths from 0.")
    mean = (top + right + bottom + left) / 4
    with localcontext(prec=28):
        half = (((top - bottom) / 2) ** 2 + ((right - left) / 2) ** 2).sqrt()
    least = max(Decimal(0), min(mean - half, *readings.values()))
    greatest = max(mean + half, *readings.values())
    steps = (
        f"mean of the four {_shown(mean, units)}",
        f"12 less 6 {_shown(top - bottom, units)}, 3 less 9 {_shown(right - left, units)}",
        f"half out of square: sqrt of the sum of the squares of their halves = {_shown(half, units)}",
        f"least {_shown(least, units)}, greatest {_shown(greatest, units)}",
    )
    uneven = abs((top + bottom) - (right + left)) / 2
    notes: tuple[str, ...] = ()
    if uneven > _READING_MM[units]:
        notes = (
            f"12 and 6 together differ from 3 and 9 by {_shown(uneven, units)} on the mean: the end is not plane, or a "
            "reading is wrong.",
        )
    return GapRound(least, greatest, 2 * half, steps, notes)


def members_square(
    one_mm: Decimal, other_mm: Decimal, units: str = SI, agree_mm: Decimal | None = None
) -> Verdict[bool]:
    """Whether two members are square to each other: the two inside measurements between them agree.

    agree_mm   how near they must be; None: one division of the tape, 1/32 in or 0.5 mm
    Raises     ValueError for a measurement that is not positive
    Source     common practice
    """
    if one_mm <= 0 or other_mm <= 0:
        raise ValueError("An inside measurement must be over 0 mm.")
    most = _READING_MM[units] if agree_mm is None else agree_mm
    apart = abs(one_mm - other_mm)
    told = f"{show_length(one_mm, units)} and {show_length(other_mm, units)} are {_shown(apart, units)} apart"
    square = apart <= most
    step = f"{told}, at most {show_length(most, units)}: {'square' if square else 'not square'}"
    return Verdict(square, (step,), _PRACTICE)


def _shown(mm: Decimal, units: str) -> str:
    return show_length(mm.quantize(Decimal("0.001")) if units == SI else mm, units)
