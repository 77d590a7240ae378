"""When the rest of the work is done, if each coming week is like one of the last ones."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from random import Random

# So many of the last whole weeks are drawn from, and at least so many are needed.
MOST_WEEKS, LEAST_WEEKS = 12, 3
DRAWS = 1000
LONGEST = 156  # weeks looked ahead
_SEED = 1911  # fixed, so that the same records give the same forecast
_EARLY, _LIKELY, _LATE = 0.1, 0.5, 0.9
METHOD = (
    f"Each coming week is drawn at random from the last whole weeks (at most {MOST_WEEKS}), {DRAWS:,} times over, and"
    " the same draw every time it is asked. One run in ten is done by the early week, half by the likely one, nine"
    " in ten by the late one. It knows of no holiday, no delivery and no change of crew."
)


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is done in all after so many more weeks: of the runs one in ten is below `low`, one in ten above `high`."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Forecast:
    """Weeks from now until nothing remains, None where that is more than LONGEST; `ahead` is week by week.

    early, likely, late  the weeks by which a tenth, a half and nine tenths of the runs are done
    of                   how many weeks were drawn from
    """

    early: int | None
    likely: int | None
    late: int | None
    of: int
    ahead: tuple[Ahead, ...]


def forecast(remaining: float, weeks: Sequence[float]) -> Forecast | None:
    """Return how long the rest takes, by drawing coming weeks from the last ones again and again.

    remaining  what is still to do
    weeks      what was done in each whole week so far, the last one last, weeks of nothing included
    Returns    None where nothing remains, where there are fewer than LEAST_WEEKS weeks, or all of the last were idle
    Raises     ValueError for a week of less than nothing
    Source     common practice: the bootstrap of B. Efron, Annals of Statistics 7 (1979) 1-26, weeks drawn as if each
               were independent of the one before
    """
    if any(one < 0 for one in weeks):
        raise ValueError("A week's work can't be less than nothing.")
    last = tuple(map(float, weeks[-MOST_WEEKS:]))
    if remaining <= 0 or len(last) < LEAST_WEEKS or not any(last):
        return None
    return _drawn(float(remaining), last)


@lru_cache(maxsize=256)
def _drawn(remaining: float, last: tuple[float, ...]) -> Forecast:
    random = Random(_SEED)
    done = [0.0] * DRAWS
    ahead: list[Ahead] = []
    by: dict[float, int] = {}
    while len(ahead) < LONGEST and _LATE not in by:
        drawn = random.choices(last, k=DRAWS)
        done = sorted(min(remaining, so_far + more) for so_far, more in zip(done, drawn, strict=True))
        ahead.append(Ahead(*(done[round(share * (DRAWS - 1))] for share in (_EARLY, _LIKELY, _LATE))))
        finished = sum(one >= remaining for one in done) / DRAWS
        for share in (_EARLY, _LIKELY, _LATE):
            if finished >= share:
                by.setdefault(share, len(ahead))
    return Forecast(by.get(_EARLY), by.get(_LIKELY), by.get(_LATE), len(last), tuple(ahead))
