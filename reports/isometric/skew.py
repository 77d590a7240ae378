"""Runs along no axis: found as a whole, and shown by hatched planes whose sides are their offsets."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import dist

from reports.isometric.drawn import Dimension, Leg, Place, key
from reports.isometric.projection import along


@dataclass(frozen=True, slots=True)
class SkewRun:
    """Legs that follow each other straight on, along no axis."""

    legs: tuple[Leg, ...]

    @property
    def start(self) -> Place:
        """Where the run begins."""
        return self.legs[0].start

    @property
    def end(self) -> Place:
        """Where the run ends."""
        return self.legs[-1].end

    def share_of(self, place: Place) -> float | None:
        """How far along the run a place lies, 0 to 1, or none if it is not on it."""
        whole, before, after = dist(self.start, self.end), dist(self.start, place), dist(place, self.end)
        return before / whole if abs(before + after - whole) < 1e-3 else None


def skew_runs(legs: Sequence[Leg]) -> list[SkewRun]:
    """The skew runs among legs in the order of flow; a branch ends a run."""
    met = Counter(key(place) for leg in legs for place in (leg.start, leg.end))
    runs: list[list[Leg]] = []
    for leg in legs:
        if dist(leg.start, leg.end) < 1e-6 or leg.kind == "eccentric" or along(leg.start, leg.end) is not None:
            continue
        last = runs[-1][-1] if runs else None
        if last is not None and key(last.end) == key(leg.start) and met[key(leg.start)] == 2 and _on(last, leg):
            runs[-1].append(leg)
        else:
            runs.append([leg])
    return [SkewRun(tuple(run)) for run in runs]


def parts(run: SkewRun, dimensions: Iterable[Dimension]) -> list[tuple[Place, Place]]:
    """The parts of a run that have lengths of their own, each with its start and end."""
    inside: dict[tuple[int, int, int], tuple[float, Place]] = {}
    for one in dimensions:
        for place in () if one.beside else (one.start, one.end):
            share = run.share_of(place)
            if share is not None and 1e-6 < share < 1 - 1e-6:
                inside[key(place)] = share, place
    return list(pairwise((run.start, *(place for _, place in sorted(inside.values())), run.end)))


def planes(start: Place, end: Place) -> list[tuple[Place, Place, Place]]:
    """Right-angled triangles that show a skew run, each as (corner, first, second): the second side is hatched to.

    A run in a level plane has one triangle in it; one in an upright plane has one on its projection on the level plane;
    one in neither has both.
    """
    (east, north, up), (to_east, to_north, to_up) = start, end
    foot = (to_east, to_north, up)
    found: list[tuple[Place, Place, Place]] = []
    if abs(to_east - east) > 0.005 and abs(to_north - north) > 0.005:
        found.append(((to_east, north, up), start, foot))
    if abs(to_up - up) > 0.005:
        found.append((foot, start, end))
    return found


def _on(one: Leg, other: Leg) -> bool:
    """Whether a leg goes straight on from another."""
    first, second = (
        [(end - start) / dist(leg.start, leg.end) for start, end in zip(leg.start, leg.end, strict=True)]
        for leg in (one, other)
    )
    return dist(first, second) < 1e-4
