"""The comparator: the same answers that a phone gives from the same data."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import passes
from rules.compare import apart, applies, check, departs, ready
from rules.examination import requirements as examination_asks
from rules.finding import Requirement
from rules.fit_up import requirements as fit_up_asks
from rules.judge import findings
from rules.passes import HEAT_INPUT
from rules.source import Source
from rules.terms import measure
from tests.rules.cast import JOB, PROCEDURE, D, examination, fit_up, fitted, people, planned, weld_pass

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


FIGURES = st.none() | st.decimals("-20", "200", places=1)
GAPS = st.none() | st.decimals("0", "4", places=1)
READINGS = st.dictionaries(st.sampled_from(["12", "3", "6", "9"]), st.decimals("0", "4", places=1))
PASS_ASKED = [
    *passes.of_row(PROCEDURE, replace(PROCEDURE.passes[0], volts_max=D(16), travel_max=D(150)), 1, "SI"),
    *passes.of_every_pass(PROCEDURE, "SI"),
    passes.amps_recorded(),
]
FIT_UP_ASKED = fit_up_asks(planned(), JOB)
EXAMINATION_ASKED = examination_asks(planned(), JOB)


@given(
    st.fixed_dictionaries(
        dict.fromkeys(
            ("amps", "volts", "travel_mm_min", "length_mm", "arc_time_s", "preheat_c", "interpass_c"), FIGURES
        )
    )
)
def test_a_pass_held_against_all_at_once_departs_from_each_by_itself(figures: dict[str, Decimal | None]) -> None:
    _departs_alike(PASS_ASKED, weld_pass(1, "root", **figures))


@given(st.fixed_dictionaries({"gap_mm": GAPS, "squareness_mm": GAPS, "high_low_mm": GAPS, "gaps_mm": READINGS}))
def test_a_fit_up_held_against_all_at_once_departs_from_each_by_itself(figures: dict[str, Any]) -> None:
    _departs_alike(FIT_UP_ASKED, fit_up(**figures))


@given(st.fixed_dictionaries({"leg_a_mm": FIGURES, "leg_b_mm": FIGURES, "undercut_mm": GAPS}))
def test_a_weld_held_against_all_at_once_departs_from_each_by_itself(figures: dict[str, Decimal | None]) -> None:
    _departs_alike(EXAMINATION_ASKED, examination(**figures))


def _departs_alike(asked: list[Requirement], record: Any) -> None:
    assert list(ready(asked).departures(record)) == [(one, told) for one in asked if (told := departs(one, record))]


@given(FIGURES, FIGURES, FIGURES, st.none() | st.just(D(60)))
def test_heat_input_is_over_its_most_exactly_where_its_value_is(
    volts: Decimal | None, amps: Decimal | None, travel: Decimal | None, length: Decimal | None
) -> None:
    told = weld_pass(1, "root", volts=volts, amps=amps, travel_mm_min=travel, length_mm=length, arc_time_s=D(30))
    value = measure(HEAT_INPUT)(told)
    departure = departs(requirement("range", [None, D("1.1")], HEAT_INPUT), told)
    assert (departure is not None) == (value is not None and value > D("1.1"))
    assert departure is None or departure.measured == value


PLACES = st.none() | st.integers(0, 400).map(Decimal)


@given(st.tuples(*[st.tuples(PLACES, PLACES)] * 4))
def test_stops_are_told_exactly_where_two_neighbours_are_too_near(places: Any) -> None:
    orders, roles = (1, 2, 2, 3), ("root", "fill", "fill", "cap")
    made = [
        weld_pass(order, role, id=f"p{number}", start_degrees=start, stop_degrees=stop)
        for number, (order, role, (start, stop)) in enumerate(zip(orders, roles, places, strict=True))
    ]
    near = [
        (here.id, end)
        for order in (2, 3)
        for end in ("start_degrees", "stop_degrees")
        for here in made
        if here.order == order and getattr(here, end) is not None
        if any(
            getattr(before, end) is not None and apart(getattr(here, end), getattr(before, end)) < 30
            for before in made
            if before.order == order - 1
        )
    ]
    told = [one for one in findings(fitted(passes=made), JOB, people()) if one.code == "stops-stacked"]
    assert [(one.record, f"{one.message.split()[1].removesuffix('s')}_degrees") for one in told] == near
