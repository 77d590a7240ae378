"""How far round the pipe a pass was welded, from the starts and stops of its segments."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import product
from typing import Protocol

FULL = Decimal(360)
# More segments than this are not tried in every direction; a pass in so many pieces is taken as it was recorded.
MOST_SEGMENTS = 10
Arc = tuple[Decimal, Decimal]


class Segment(Protocol):
    """A pass or a part of one, from where it started to where it stopped, clockwise from 12."""

    @property
    def start_degrees(self) -> Decimal | None: ...
    @property
    def stop_degrees(self) -> Decimal | None: ...


def is_all_round(segments: Sequence[Segment]) -> bool:
    """Whether the segments of one pass close the circle; one that says nothing of its place is taken to.

    A start where the stop is means all round. A segment runs clockwise, or the other way where that is half a turn or
    less: of two halves welded upwards, both from 6 to 12, nobody records which is which. The circle is open only where
    it is open either way.
    """
    return not left_open(segments)


def left_open(segments: Sequence[Segment]) -> tuple[Arc, ...]:
    """The arcs that the segments of one pass leave open, each clockwise in degrees; none where they close the circle.

    Of the ways in which the segments can have run, as in `is_all_round`, the one that leaves least.
    """
    arcs: list[Arc] = []
    for one in segments:
        start, stop = one.start_degrees, one.stop_degrees
        if start is None or stop is None or start == stop:
            return ()
        arcs.append((start % FULL, stop % FULL))
    return () if len(arcs) > MOST_SEGMENTS else _least_left(tuple(arcs))


@lru_cache(maxsize=4096)
def _least_left(arcs: tuple[Arc, ...]) -> tuple[Arc, ...]:
    """What arcs leave of the circle, each run one way or the other; nothing is left of one that is a full turn."""
    if any(start == stop for start, stop in arcs):
        return ()
    return min((_gaps(way) for way in product(*map(_ways, arcs))), key=_length)


def _ways(arc: Arc) -> tuple[Arc, ...]:
    """An arc as it runs clockwise, and as it may run the other way."""
    start, stop = arc
    return (arc,) if _turn(arc) < FULL / 2 else (arc, (stop, start))


def _gaps(arcs: Iterable[Arc]) -> tuple[Arc, ...]:
    """What arcs, each clockwise from its first to its second angle, leave of the circle."""
    spans: list[Arc] = []
    for start, stop in arcs:
        # What runs past 12 o'clock covers the end of the turn and the beginning of the next.
        spans += [(start, stop)] if start < stop else [(start, FULL), (Decimal(0), stop)]
    gaps: list[Arc] = []
    reached = Decimal(0)
    for start, stop in (*sorted(spans), (FULL, FULL)):
        if start > reached:
            gaps.append((reached, start))
        reached = max(reached, stop)
    if len(gaps) > 1 and gaps[0][0] == 0 and gaps[-1][1] == FULL:
        (_, stop), *between, (start, _) = gaps
        gaps = [*between, (start, stop)]
    return tuple((start, stop % FULL) for start, stop in gaps)


def _turn(arc: Arc) -> Decimal:
    """How far it is from the one end to the other clockwise."""
    start, stop = arc
    return stop - start if stop > start else stop - start + FULL


def _length(arcs: Iterable[Arc]) -> Decimal:
    return sum(map(_turn, arcs), Decimal(0))
