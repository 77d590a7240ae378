"""Where flow arrows stand: on every long pipe, and once at least on each straight run that has room for one."""

from collections.abc import Iterable, Sequence
from math import dist

from reports.isometric.drawn import Leg, key

EVERY = 52.0  # points: a pipe drawn longer has an arrow of its own
OFF = 10.4  # of an arrow's middle from the ends of its pipe: half of the arrow, and the largest mark of a weld
CLEAR = 10.5  # of it from where the pipe is crossed, broken or supported
SHARE, MIDDLE = 0.28, 14.0  # of the pipe, where nothing is in the way; a short pipe has it in the middle, or so far on
ASIDE = (0.0, 0.12, -0.12, 0.24, -0.24)

Way = tuple[float, ...]


def straight_runs(legs: Sequence[Leg]) -> list[list[int]]:
    """The numbers of the legs that go straight on from each other, run by run; legs in the order of flow."""
    found: list[list[int]] = []
    open_ends: dict[tuple[tuple[int, int, int], Way], list[int]] = {}
    for number, leg in enumerate(legs):
        way = _way(leg)
        run = open_ends.pop((key(leg.start), way), None)
        if run is None:
            run = []
            found.append(run)
        run.append(number)
        open_ends[key(leg.end), way] = run
    return found


def arrows(
    runs: Sequence[Sequence[int]], lengths: Sequence[float], shut: Sequence[Sequence[float]]
) -> dict[int, float]:
    """For each leg that bears an arrow how far from its start it stands, in points.

    runs     the legs of each straight run, by their numbers
    lengths  of the legs on the sheet; nought of what is no pipe
    shut     for each leg the shares of its length at which it is crossed, broken or supported
    """
    found: dict[int, float] = {}
    for run in runs:
        shows = False
        for number in sorted(run, key=lambda one: -lengths[one]):
            if shows and lengths[number] <= EVERY:
                break
            at = _place(lengths[number], shut[number])
            if at is not None:
                found[number], shows = at, True
    return found


def free_share(wished: float, shut: Iterable[float], length: float) -> float | None:
    """The share of a leg nearest to the one wished for that is clear of what is in the way."""
    for aside in ASIDE:
        if all(abs(wished + aside - one) * length > CLEAR for one in shut):
            return wished + aside
    return None


def _place(length: float, shut: Sequence[float]) -> float | None:
    for aside in ASIDE:
        at = max(SHARE * length, min(length / 2, MIDDLE)) + aside * length
        if OFF <= at <= length - OFF and all(abs(at - one * length) > CLEAR for one in shut):
            return at
    return None


def _way(leg: Leg) -> Way:
    length = dist(leg.start, leg.end) or 1.0
    return tuple(round((b - a) / length, 3) + 0.0 for a, b in zip(leg.start, leg.end, strict=True))
