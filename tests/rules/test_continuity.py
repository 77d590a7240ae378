"""Six months by the calendar, against dateutil."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from rules.continuity import continuity, expires, span_on, spans
from tests.rules.cast import qualification, welder

DAYS = st.dates(date(1999, 1, 1), date(2060, 1, 1))


@given(DAYS)
def test_six_months_are_those_of_dateutil(day: date) -> None:
    assert expires(day) == day + relativedelta(months=6)


@pytest.mark.parametrize(
    ("last", "ends"),
    [
        ("2024-08-31", "2025-02-28"),
        ("2024-02-29", "2024-08-29"),
        ("2023-08-31", "2024-02-29"),
        ("2024-01-15", "2024-07-15"),
    ],
)
def test_the_months_end_is_clamped(last: str, ends: str) -> None:
    assert expires(date.fromisoformat(last)) == date.fromisoformat(ends)


def test_on_the_day_it_lapses_unless_used() -> None:
    last = date(2024, 1, 15)
    assert continuity(last, date(2024, 7, 14)).value
    assert not continuity(last, date(2024, 7, 15)).value
    held = welder("A1", qualification(tested_on=last))
    assert span_on(held, "GTAW", date(2024, 7, 15), is_use=True)
    assert not span_on(held, "GTAW", date(2024, 7, 15), is_use=False)


def test_use_keeps_a_process_alive_and_a_gap_ends_it() -> None:
    test, used, late = date(2024, 1, 1), date(2024, 6, 1), date(2025, 2, 1)
    (span,) = spans([test], [used, late])
    assert (span.begins, span.last, span.ends) == (test, used, date(2024, 12, 1))


def test_a_test_revives_what_had_lapsed() -> None:
    first, second = date(2024, 1, 1), date(2025, 2, 1)
    assert [one.begins for one in spans([first, second], [])] == [first, second]


def test_welding_while_lapsed_revives_nothing() -> None:
    assert len(spans([date(2024, 1, 1)], [date(2025, 1, 1), date(2025, 2, 1)])) == 1


def test_short_circuiting_keeps_its_process_alive() -> None:
    held = welder("A1", qualification(process="GMAW", tested_on=date(2024, 1, 1)), used={"GMAW-S": (date(2024, 6, 1),)})
    assert span_on(held, "GMAW", date(2024, 11, 1), is_use=False)


@given(st.lists(DAYS, min_size=1, max_size=4), st.lists(DAYS, max_size=8))
def test_more_use_never_shortens_a_span(tests: list[date], used: list[date]) -> None:
    without, with_use = spans(tests, []), spans(tests, sorted(used))
    for span in without:
        for day in (span.begins, span.ends - timedelta(1)):
            assert any(one.begins <= day < one.ends for one in with_use)
