"""The forecast of the rest and the even plan, against distributions and shares worked out apart from them."""

from datetime import date, timedelta
from fractions import Fraction
from math import ceil, comb
from random import Random

import pytest

from rules.forecast import LONGEST, MOST_WEEKS, forecast
from rules.planned import planned_by, planned_share


def _chance_done(weeks: int, needed: int, share: float) -> float:
    """That at least `needed` of so many weeks are working weeks: the binomial distribution."""
    return sum(comb(weeks, k) * share**k * (1 - share) ** (weeks - k) for k in range(needed, weeks + 1))


def _first(needed: int, share: float, chance: float) -> int:
    return next(weeks for weeks in range(1, 1000) if _chance_done(weeks, needed, share) >= chance)


@pytest.mark.parametrize(("remaining", "pace"), [(100.0, 10.0), (95.0, 10.0), (7.5, 2.5), (1.0, 30.0)])
def test_weeks_that_are_all_alike_leave_no_doubt(remaining: float, pace: float) -> None:
    found = forecast(remaining, [pace] * 6)
    assert found is not None
    weeks = ceil(remaining / pace)
    assert (found.early, found.likely, found.late) == (weeks, weeks, weeks)
    assert [one.low for one in found.ahead] == [min(remaining, pace * (n + 1)) for n in range(weeks)]
    assert all(one.low == one.likely == one.high for one in found.ahead)


@pytest.mark.parametrize("needed", [3, 8, 20])
def test_every_other_week_idle_is_the_negative_binomial_distribution(needed: int) -> None:
    """Weeks of 0 or 10, alike likely: the n-th working week comes by week t with a binomial chance."""
    found = forecast(10.0 * needed, [0.0, 10.0] * 5)
    assert found is not None and found.early and found.likely and found.late
    for drawn, chance in ((found.early, 0.1), (found.likely, 0.5), (found.late, 0.9)):
        # 1,000 draws: the chance itself is known to within 3 x sqrt(0.25/1000), about 0.05.
        assert _first(needed, 0.5, max(0.01, chance - 0.05)) <= drawn <= _first(needed, 0.5, chance + 0.05)


def test_the_fan_of_two_kinds_of_weeks_is_the_binomial_distribution() -> None:
    """After 9 weeks of 0 or 10 the tenth and the ninetieth percent of the binomial of 9 are 3 and 6 working weeks."""
    shares = [_chance_done(9, k, 0.5) for k in range(10)]
    low = max(k for k in range(10) if shares[k] >= 0.9)
    high = max(k for k in range(10) if shares[k] >= 0.1)
    found = forecast(1000.0, [0.0, 10.0] * 3)
    assert found is not None
    assert (found.ahead[8].low, found.ahead[8].high) == (10.0 * low, 10.0 * high) == (30.0, 60.0)


def test_only_the_last_weeks_are_drawn_from() -> None:
    found = forecast(50.0, [1000.0] * 5 + [5.0] * MOST_WEEKS)
    assert found is not None and (found.likely, found.of) == (10, MOST_WEEKS)


def test_the_same_records_give_the_same_forecast() -> None:
    weeks = [3.0, 8.0, 0.0, 6.5, 12.0]
    assert forecast(80.0, weeks) == forecast(80.0, list(weeks))


def test_a_pace_that_never_ends_says_no_week() -> None:
    found = forecast(1e9, [1.0, 2.0, 3.0])
    assert found is not None and found.late is None and found.early is None and len(found.ahead) == LONGEST


@pytest.mark.parametrize(("remaining", "weeks"), [(0.0, [5.0] * 4), (10.0, [5.0, 5.0]), (10.0, [0.0] * 12), (10.0, [])])
def test_nothing_is_forecast_from_nothing(remaining: float, weeks: list[float]) -> None:
    assert forecast(remaining, weeks) is None


def test_refuses_a_week_of_less_than_nothing() -> None:
    with pytest.raises(ValueError, match="less than nothing"):
        forecast(10.0, [1.0, -1.0, 2.0])


@pytest.mark.parametrize(
    ("day", "share"),
    [
        (date(2026, 3, 1), Fraction(0)),
        (date(2026, 3, 2), Fraction(1, 10)),
        (date(2026, 3, 6), Fraction(1, 2)),
        (date(2026, 3, 11), Fraction(1)),
        (date(2027, 1, 1), Fraction(1)),
    ],
)
def test_a_line_planned_from_2_to_11_march_grows_by_a_tenth_a_day(day: date, share: Fraction) -> None:
    assert planned_share(date(2026, 3, 2), date(2026, 3, 11), day) == share
    assert planned_share(date(2026, 3, 11), date(2026, 3, 2), day) == share


def test_a_line_planned_on_one_day_is_done_that_day() -> None:
    one = date(2026, 3, 2)
    assert planned_share(one, one, one) == 1 and planned_share(one, one, date(2026, 3, 1)) == 0


def test_the_sum_of_many_plans_is_that_of_each_by_itself() -> None:
    """40 plans that overlap, begin before the first day asked for, end after the last, or take a single day."""
    random, start = Random(7), date(2026, 1, 5)
    parts = []
    for _ in range(40):
        first = start + timedelta(days=random.randrange(-60, 200))
        parts.append((first, first + timedelta(days=random.choice((0, 1, 30, 90, -10))), random.random() * 100))
    days = [start + timedelta(days=7 * week + 6) for week in range(40)]
    for day, found in zip(days, planned_by(parts, days), strict=True):
        assert found == pytest.approx(sum(share * float(planned_share(one, last, day)) for one, last, share in parts))


def test_two_plans_by_hand() -> None:
    """100 from 1 to 10 January and 40 on 8 January: 10 + 0 on the 1st, 70 + 0 on the 7th, 80 + 40 on the 8th, 140."""
    parts = [(date(2026, 1, 1), date(2026, 1, 10), 100.0), (date(2026, 1, 8), date(2026, 1, 8), 40.0)]
    days = [date(2025, 12, 31), date(2026, 1, 1), date(2026, 1, 7), date(2026, 1, 8), date(2026, 2, 1)]
    assert planned_by(parts, days) == pytest.approx([0, 10, 70, 120, 140])
