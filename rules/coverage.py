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
    arcs: list[Arc] = []
    for one in segments:
        start, stop = one.start_degrees, one.stop_degrees
        if start is None or stop is None or start == stop:
            return True
        arcs.append((start % FULL, stop % FULL))
    return len(arcs) > MOST_SEGMENTS or _may_close(tuple(arcs))


@lru_cache(maxsize=4096)
def _may_close(arcs: tuple[Arc, ...]) -> bool:
    """Whether arcs close the circle, each run one way or the other."""
    return any(start == stop for start, stop in arcs) or any(_closes(way) for way in product(*map(_ways, arcs)))


def _ways(arc: Arc) -> tuple[Arc, ...]:
    """An arc as it runs clockwise, and as it may run the other way."""
    start, stop = arc
    clockwise = stop - start if stop > start else stop - start + FULL
    return (arc,) if clockwise < FULL / 2 else (arc, (stop, start))


def _closes(arcs: Iterable[Arc]) -> bool:
    """Whether arcs, each clockwise from its first to its second angle, leave no gap."""
    spans = sorted((start, stop if stop > start else stop + FULL) for start, stop in arcs)
    first, reached = spans[0]
    # What runs past 12 o'clock covers the beginning of the turn, and so may the arcs after it.
    for start, stop in (*spans, *((start + FULL, stop + FULL) for start, stop in spans)):
        if start > reached:
            return False
        reached = max(reached, stop)
        if reached >= first + FULL:
            return True
    return False
