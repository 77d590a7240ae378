"""Starts and stops of neighbouring passes round the dial."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import pi

from rules.compare import apart
from rules.units import MM_PER_INCH, SI, show_length


@dataclass(frozen=True, slots=True)
class Apart:
    """How near the stops of neighbouring passes come; mm on the outside of the pipe, None without its diameter."""

    degrees: Decimal
    mm: Decimal | None
    stacked: bool | None
    steps: tuple[str, ...]


def stops_apart(
    stops: Sequence[Sequence[Decimal]],
    spacing_degrees: Decimal | None = None,
    od_mm: Decimal | None = None,
    units: str = SI,
) -> Apart:
    """The least distance between the starts (or stops) of each pass and those of the pass before.

    stops            degrees from 12 o'clock, pass by pass, one for each segment
    spacing_degrees  least by procedure or owner, which no code sets; None: nothing is judged
    Raises           ValueError for fewer than two passes or a spacing outside 0 to 180 degrees
    Source           geometry
    """
    if len(stops) < 2 or not all(stops):
        raise ValueError("Two passes or more are needed, each with one place or more.")
    if spacing_degrees is not None and not 0 <= spacing_degrees <= 180:
        raise ValueError(f"A spacing of {spacing_degrees:f} degrees is not possible; accepted are 0 to 180.")
    near = [min(apart(one, other) for one in before for other in after) for before, after in pairwise(stops)]
    least = min(near)
    steps = [f"passes {number} and {number + 1}: {one:f}° apart" for number, one in enumerate(near, 1)]
    arc = None
    if od_mm is not None:
        arc = Decimal(str(pi)) * od_mm * least / 360
        steps.append(f"{least:f}° on {show_length(od_mm, units)}: {_arc(arc, units)} round the pipe")
    if spacing_degrees is None:
        return Apart(least, arc, None, tuple(steps))
    steps.append(f"at least {spacing_degrees:f}° asked")
    return Apart(least, arc, least < spacing_degrees, tuple(steps))


def clock_of(degrees: Decimal) -> str:
    """A place on the pipe as a clock face shows it, to the minute: 0 degrees is 12, 135 is 4:30."""
    hour, minute = divmod(int(degrees * 2), 60)
    return f"{hour or 12}:{minute:02d}" if minute else f"{hour or 12}"


def _arc(mm: Decimal, units: str) -> str:
    return f"{mm:.1f} mm" if units == SI else f"{mm / MM_PER_INCH:.2f} in"
