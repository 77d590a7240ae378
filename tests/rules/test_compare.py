"""The comparator: the same answers that a phone gives from the same data."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.compare import apart, applies, check, departs, measure
from rules.finding import Requirement
from rules.passes import HEAT_INPUT
from rules.source import Source
from tests.rules.cast import D, fit_up, weld_pass

WORD = Source("job setting")


def requirement(test: str, bounds: Any, term: Any, **changes: Any) -> Requirement:
    """A requirement on a fit-up or pass."""
    return Requirement("id", "gap-out-of-range", "fit-up", test, bounds, WORD, term=term, **changes)


def test_a_range_has_two_ends_and_either_may_be_open() -> None:
    gap = ["field", "gap_mm"]
    both = requirement("range", [D(1), D(3)], gap)
    assert departs(both, fit_up(gap_mm=D(1))) is None
    assert departs(both, fit_up(gap_mm=D(3))) is None
    low, high = departs(both, fit_up(gap_mm=D("0.9"))), departs(both, fit_up(gap_mm=D("3.1")))
    assert low is not None and (low.bound, low.limit) == ("least", D(1))
    assert high is not None and (high.bound, high.limit) == ("greatest", D(3))
    assert departs(requirement("range", [None, None], gap), fit_up(gap_mm=D(99))) is None
    assert departs(both, fit_up(gap_mm=None)) is None


def test_one_of_knows_no_case_and_no_spaces() -> None:
    heats = requirement("one_of", ["H 12a"], ["field", "heat_a_read"])
    assert departs(heats, fit_up(heat_a_read="h12A")) is None
    assert departs(heats, fit_up(heat_a_read="H13")) is not None
    assert departs(heats, fit_up(heat_a_read="")) is None


def test_requires_asks_for_a_value() -> None:
    amps = requirement("requires", None, ["field", "amps"])
    assert departs(amps, weld_pass(1, "root", amps=None)) is not None
    assert departs(amps, weld_pass(1, "root")) is None


def test_allowed_until_includes_the_day() -> None:
    day = weld_pass(1, "root").done_on
    stamps = requirement(
        "allowed_until",
        {"A1": {"until": day, "why": ""}, "B2": {"until": None, "why": "No test."}, "C3": {"until": None, "why": ""}},
        ["field", "stamp"],
        args={"otherwise": "Unknown."},
    )
    assert departs(stamps, weld_pass(1, "root")) is None
    assert departs(stamps, weld_pass(1, "root", done_on=day.replace(day=day.day + 1))) is not None
    refused = departs(stamps, weld_pass(1, "root", stamp="B2"))
    assert refused is not None and refused.why == "No test."
    unknown = departs(stamps, weld_pass(1, "root", stamp="Z9"))
    assert unknown is not None and unknown.why == "Unknown."
    assert departs(stamps, weld_pass(1, "root", stamp="C3")) is None


def test_a_requirement_speaks_of_its_role_and_process() -> None:
    root = requirement("range", [None, None], 1, when={"pass": "root", "process": "GTAW"})
    assert applies(root, weld_pass(1, "root"))
    assert not applies(root, weld_pass(1, "cap"))
    assert not applies(root, weld_pass(1, "root", process="SMAW"))


def test_heat_input_by_hand() -> None:
    value = measure(HEAT_INPUT)
    # 12 V x 110 A x 60 / 80 mm/min = 990 J/mm.
    assert value(weld_pass(1, "root", volts=D(12), amps=D(110), travel_mm_min=D(80))) == D("0.99")
    # The same speed from a length and the arc time: 80 mm in 60 s.
    timed = weld_pass(1, "root", volts=D(12), amps=D(110), travel_mm_min=None, length_mm=D(80), arc_time_s=D(60))
    assert value(timed) == D("0.99")
    assert value(weld_pass(1, "root", volts=None)) is None
    assert value(weld_pass(1, "root", travel_mm_min=D(0))) is None


def test_a_test_over_several_records_is_refused_here() -> None:
    with pytest.raises(ValueError, match="needs the records beside"):
        check(requirement("order", ["root"], ["field", "role"]))


@pytest.mark.parametrize(
    ("a", "b", "degrees"), [(350, 10, 20), (10, 350, 20), (0, 180, 180), (0, 360, 0), (90, 100, 10)]
)
def test_degrees_go_the_short_way_round(a: int, b: int, degrees: int) -> None:
    assert apart(D(a), D(b)) == degrees


@given(st.decimals("0", "10", places=2), st.decimals("0", "10", places=2), st.decimals("0", "2", places=2))
def test_a_tighter_limit_never_accepts_what_a_looser_one_rejects(gap: Decimal, limit: Decimal, less: Decimal) -> None:
    loose = requirement("range", [None, limit], ["field", "gap_mm"])
    tight = requirement("range", [None, limit - less], ["field", "gap_mm"])
    if departs(loose, fit_up(gap_mm=gap)):
        assert departs(tight, fit_up(gap_mm=gap))
