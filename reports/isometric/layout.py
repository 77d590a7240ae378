"""Where places stand on the drawing: the order along each axis is kept, long runs are shortened, short ones get room.

Every axis is laid out by itself: its distinct coordinates keep their order, and each leg and dimension asks for a least
length. Lengths along an axis follow as the shortest that satisfy all of these, so loops stay closed and parallel pipes
parallel.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from math import dist, log2

from reports.isometric.drawn import Dimension, Leg, Place
from reports.isometric.skew import SkewRun, planes, skew_runs
from reports.isometric.symbols import NARROW, WIDE, aside_of
from reports.letters import width

# Drawn length in points of what is not a pipe, enough for its symbol.
LENGTHS = {
    "elbow": 13.0, "tee": 13.0, "olet": 9.0, "reducer": 15.0, "eccentric": 15.0, "coupling": 11.0, "flange": 5.0,
    "valve": 22.0, "instrument": 22.0, "cap": 7.0, "gasket": 1.5,
}  # fmt: skip
LEAST, PER_DOUBLING, GREATEST = 20.0, 34.0, 170.0
HALF_LENGTH = 500.0  # mm of pipe that get the first doubling
APART = 1.5  # points between different coordinates that nothing else holds apart
TEXT = 7.0

Span = tuple[Place, Place, float, bool]  # from, to, least points between, whether no more is wanted either
Ask = tuple[int, int, float, bool]  # the same between two coordinates of an axis


def pipe_length(real_mm: float, scale: float) -> float:
    """Drawn length of a pipe: it grows ever more slowly with the real one, so long runs are shortened."""
    return LEAST + min(GREATEST, PER_DOUBLING * log2(1 + real_mm / HALF_LENGTH)) * scale


def dimension_length(words: str) -> float:
    """Least drawn length of a dimension, so that its words stand between its arrows."""
    return 34.0 + 0.7 * max(0.0, width(words, TEXT) - 24.0)


def _of(one: Dimension) -> float:
    if one.beside:
        return 18.0
    # Where the pipe steps aside, the extension line at its far end may meet the dimension line so much nearer.
    return dimension_length(one.words) + (WIDE - NARROW if one.goes_on else 0.0)


@dataclass(slots=True)
class Axis:
    """The coordinates along one axis in mm, the lengths asked between them, and points added to open a gap.

    stiff  the gaps that a fitting spans
    """

    coordinates: list[float]
    asks: list[Ask]
    extra: list[float] = field(default_factory=list)
    stiff: set[int] = field(default_factory=set)

    def places(self) -> list[float]:
        """Where each coordinate is drawn, in points: halfway between its earliest and its latest place.

        Then fittings are drawn together again, so that what is left over lengthens pipes.
        """
        early = self._early()
        late = self._late(early[-1])
        placed = [(one + other) / 2 for one, other in zip(early, late, strict=True)]
        if any(exact for _, _, _, exact in self.asks):
            self._tighten(placed)
        return placed

    def _tighten(self, placed: list[float]) -> None:
        """Move each end of a fitting as near to the other as all asks let it, first along the axis, then back."""
        last = len(placed) - 1
        before: list[list[tuple[int, float, bool]]] = [[] for _ in placed]
        after: list[list[tuple[int, float, bool]]] = [[] for _ in placed]
        for start, end, least, exact in self.asks:
            before[end].append((start, least, exact))
            after[start].append((end, least, exact))
        # What stands between two fittings goes to the one before it, and on the way back to the one after it.
        for order, ties in ((range(last + 1), True), (range(last, -1, -1), False)):
            for place in order:
                pull = sum(exact for _, _, exact in before[place]) - sum(exact for _, _, exact in after[place])
                if not any(exact for _, _, exact in (*before[place], *after[place])):
                    continue
                if pull > 0 or (pull == 0 and ties):
                    low = [placed[start] + least for start, least, _ in before[place]]
                    placed[place] = max([placed[place - 1] + APART + self.extra[place - 1], *low]) if place else 0.0
                elif place < last:
                    high = [placed[end] - least for end, least, _ in after[place]]
                    placed[place] = min([placed[place + 1] - APART - self.extra[place], *high])

    def _early(self) -> list[float]:
        before: list[list[tuple[int, float]]] = [[] for _ in self.coordinates]
        for start, end, least, _ in self.asks:
            before[end].append((start, least))
        found = [0.0]
        for place in range(1, len(self.coordinates)):
            least = found[-1] + APART + self.extra[place - 1]
            found.append(max([least, *(found[start] + length for start, length in before[place])]))
        return found

    def _late(self, whole: float) -> list[float]:
        after: list[list[tuple[int, float]]] = [[] for _ in self.coordinates]
        for start, end, least, _ in self.asks:
            after[start].append((end, least))
        last = len(self.coordinates) - 1
        found = [whole] * (last + 1)
        for place in range(last - 1, -1, -1):
            most = found[place + 1] - APART - self.extra[place]
            found[place] = min([most, *(found[end] - length for end, length in after[place])])
        return found


class Layout:
    """Places on the drawing for places in space."""

    def __init__(self, legs: Sequence[Leg], dimensions: Iterable[Dimension], scale: float) -> None:
        """Lay out legs; `scale` lengthens or shortens the pipes."""
        runs = skew_runs(legs)
        inside = {id(leg) for run in runs for leg in run.legs}
        spans = [span for leg in legs if id(leg) not in inside for span in _spans(leg, scale)]
        spans += [(run.start, run.end, sum(asked(leg, scale) for leg in run.legs) * 1.15, False) for run in runs]
        spans += [(one.start, one.end, _of(one), False) for one in dimensions]
        self.axes = [_axis(spans, axis) for axis in range(3)]
        self._skew = [(run, _shares(run, scale)) for run in runs]
        self._drawn = [axis.places() for axis in self.axes]
        self._known: dict[Place, Place] = {}

    def settle(self, axis: int) -> None:
        """Work out the places along an axis again, after a gap was opened."""
        self._drawn[axis] = self.axes[axis].places()
        self._known.clear()

    def drawn_gap(self, axis: int, gap: int) -> float:
        """How far a coordinate is drawn from the next one, in points."""
        return self._drawn[axis][gap + 1] - self._drawn[axis][gap]

    def hatched(self) -> Iterator[Place]:
        """The corners of the planes that skew runs stand over, where they are drawn: they reach beyond the pipe."""
        for run, _ in self._skew:
            for corner, _, second in planes(self._straight(run.start), self._straight(run.end)):
                yield from (corner, second)

    def place(self, place: Place) -> Place:
        """Where a place is drawn, in points along the three axes; between known coordinates in proportion."""
        found = self._known.get(place)
        if found is None:
            found = self._known[place] = self._worked_out(place)
        return found

    def _worked_out(self, place: Place) -> Place:
        for run, shares in self._skew:
            share = run.share_of(place)
            if share is not None:
                return self._on_skew(run, _between(share, shares))
        return self._straight(place)

    def _on_skew(self, run: SkewRun, share: float) -> Place:
        """A skew run stays straight, whatever its axes are stretched by."""
        start, end = self._straight(run.start), self._straight(run.end)
        east, north, up = (one + share * (other - one) for one, other in zip(start, end, strict=True))
        return east, north, up

    def _straight(self, place: Place) -> Place:
        east, north, up = (self._along(axis, place[axis]) for axis in range(3))
        return east, north, up

    def _along(self, axis: int, value: float) -> float:
        known, drawn = self.axes[axis].coordinates, self._drawn[axis]
        after = bisect_left(known, value - 0.005)
        if after < len(known) and abs(known[after] - value) <= 0.01:
            return drawn[after]
        if after == 0 or after == len(known):
            return drawn[min(after, len(known) - 1)]
        share = (value - known[after - 1]) / (known[after] - known[after - 1])
        return drawn[after - 1] + share * (drawn[after] - drawn[after - 1])


def asked(leg: Leg, scale: float) -> float:
    """Least drawn length of a leg, in points."""
    known = LENGTHS.get(leg.kind)
    return pipe_length(dist(leg.start, leg.end), scale) if known is None else known


def _spans(leg: Leg, scale: float) -> Iterator[Span]:
    """What a leg asks; an eccentric reducer steps aside so far that its flat side is level with the pipes."""
    start, end, aside = leg.start, leg.end, aside_of(leg) if leg.kind == "eccentric" else None
    if aside is None:
        yield start, end, asked(leg, scale), leg.kind != "pipe"
        return
    corner = tuple(end[axis] if axis == aside else start[axis] for axis in range(3))
    corner = corner[0], corner[1], corner[2]
    yield start, corner, WIDE - NARROW, True
    yield corner, end, asked(leg, scale), True


def _axis(spans: Sequence[Span], axis: int) -> Axis:
    values = sorted(value for start, end, _, _ in spans for value in (start[axis], end[axis]))
    known: list[float] = []
    for value in values:
        if not known or value - known[-1] > 0.01:
            known.append(value)
    asks = []
    for start, end, least, exact in spans:
        low, high = sorted((start[axis], end[axis]))
        if high - low > 0.01:
            first, last = (bisect_left(known, value - 0.0101) for value in (low, high))
            asks.append((first, last, least * (high - low) / dist(start, end), exact))
    stiff = {gap for first, last, _, exact in asks if exact for gap in range(first, last)}
    return Axis(known, asks, [0.0] * max(0, len(known) - 1), stiff)


def _shares(run: SkewRun, scale: float) -> list[tuple[float, float]]:
    """Real and drawn shares of a skew run at the ends of its legs."""
    real = [dist(leg.start, leg.end) for leg in run.legs]
    drawn = [asked(leg, scale) for leg in run.legs]
    found, done, shown = [(0.0, 0.0)], 0.0, 0.0
    for length, points in zip(real, drawn, strict=True):
        done, shown = done + length, shown + points
        found.append((done / sum(real), shown / sum(drawn)))
    return found


def _between(share: float, shares: Sequence[tuple[float, float]]) -> float:
    for (real, drawn), (further, shown) in zip(shares, shares[1:], strict=False):
        if share <= further + 1e-9:
            return drawn + (share - real) / (further - real) * (shown - drawn)
    return 1.0
