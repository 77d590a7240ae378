"""How much of a quantity a plan has done by a day, where it gives no more than a first and a last day."""

from collections import deque
from collections.abc import Iterable
from datetime import date
from fractions import Fraction


def planned_share(first: date, last: date, day: date) -> Fraction:
    """The share planned to be done at the end of `day`: nothing before the first day, all from the last on.

    In between it grows evenly with the calendar days, both ends included: 1 of 10 days is a tenth. Days given the
    wrong way round are turned.
    Source  common practice: an even spread, where no plan says more
    """
    first, last = min(first, last), max(first, last)
    if day < first:
        return Fraction(0)
    return min(Fraction(1), Fraction((day - first).days + 1, (last - first).days + 1))


def planned_by(parts: Iterable[tuple[date, date, float]], days: Iterable[date]) -> list[float]:
    """How much of many quantities is planned to be done at the end of each of `days`, which ascend.

    parts   first day, last day and quantity of each; the sum over parts of quantity x `planned_share`
    """
    # Each quantity grows by so much a day from its first day on, and no more after its last.
    slopes: dict[int, float] = {}
    for one, other, quantity in parts:
        first, last = min(one, other).toordinal(), max(one, other).toordinal() + 1
        rate = quantity / (last - first)
        slopes[first] = slopes.get(first, 0.0) + rate
        slopes[last] = slopes.get(last, 0.0) - rate
    changes = deque(sorted(slopes.items()))
    done, slope, reached = 0.0, 0.0, 0
    found = []
    for day in days:
        end = day.toordinal() + 1
        while changes and changes[0][0] <= end:
            at, change = changes.popleft()
            done, reached = done + slope * (at - reached), at
            slope += change
        done, reached = done + slope * (end - reached), end
        found.append(done)
    return found
