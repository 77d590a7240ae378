"""Edges of the rules against the reference's figures and arithmetic by hand, where a small change could hide."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from rules.calculators.asked import ComputeError
from rules.compute import compute
from rules.examination import judged_wall
from rules.finding import NOTE
from rules.gap import GapFigure, judge_gap
from rules.gap_round import members_square
from rules.interval import share_told
from rules.judge import findings, requirements, who_may_weld
from rules.lots import LotRule, LotWeld, judge_lot, told_extra
from rules.materials import grades
from rules.positions import needed
from rules.ranges import f_covered, qualification_range
from rules.reweld import scrapped_sides
from rules.socket_fittings import socket_depth
from rules.source import Source
from rules.units import parse_temperature
from tests.rules.cast import (
    JOB,
    PASSES,
    PROCEDURE,
    SI_JOB,
    accepted,
    examination,
    fit_up,
    people,
    planned,
    procedure_pass,
    qualification,
    released,
    repair,
    weld_pass,
    welded,
    welder,
)

D = Decimal


@pytest.mark.parametrize("word", ["F", "°F", "deg F", "Fahrenheit", "FAHRENHEIT"])
def test_two_hundred_fahrenheit_is_ninety_three_celsius(word: str) -> None:
    assert abs(Fraction(parse_temperature(f"200 {word}", "SI")) - Fraction(200 - 32) * 5 / 9) < Fraction(1, 10000)


def test_the_wall_of_nps_1_schedule_80_by_each_unit_system() -> None:
    # ASME B36.10M: 0.179 in, and 4.55 mm.
    assert judged_wall(planned(), "US") == D("0.179") * D("25.4")
    assert judged_wall(planned(), "SI") == D("4.55")
    assert judged_wall(planned(schedule="", wall_mm=D("4.6")), "US") == D("4.6")


@pytest.mark.parametrize(("units", "wall_mm"), [("US", D("0.218") * D("25.4")), ("SI", D("5.54"))])
def test_the_leg_of_a_flange_is_1_4_of_the_wall_of_its_units(units: str, wall_mm: Decimal) -> None:
    # NPS 2 Schedule 80: 0.218 in and 5.54 mm; Fig. 328.5.2B: 1.4 times the wall.
    found = compute("flange-leg", {"nps": "2", "schedule": "80"}, units=units)["result"]["leg_mm"]
    assert abs(D(str(found)) - D("1.4") * wall_mm) < D("0.0001")


@pytest.mark.parametrize(("given", "lacking"), [("st", "s"), ("s", "st")])
def test_one_stress_without_the_other_names_the_one_that_lacks(given: str, lacking: str) -> None:
    with pytest.raises(ComputeError) as told:
        compute("test-pressure", {"kind": "hydrostatic", "design": "150 psi", given: "20000"})
    assert [one.field for one in told.value.faults] == [lacking]


def test_a_key_that_a_calculator_lacks_is_named_with_what_is_near() -> None:
    with pytest.raises(ComputeError) as told:
        compute("pipe", {"nps": "2", "schedul": "80"})
    [fault] = told.value.faults
    assert fault.field == "schedul" and fault.accepted[0] == "schedule"


@pytest.mark.parametrize(("units", "words"), [("US", "from 2-7/8 in"), ("SI", "from 73 mm")])
def test_a_plate_covers_pipe_from_two_and_seven_eighths(units: str, words: str) -> None:
    plate = qualification(coupon="plate", coupon_diameter_mm=None, positions=("3G",))
    found = qualification_range(plate, units)
    assert found.diameter == words
    # QW-461.9, plate 3G: flat on pipe up to 24 in, flat and vertical over; fillets F, H and V.
    over = "24 in" if units == "US" else "610 mm"
    assert found.positions == (
        "groove: flat", f"groove over {over}: flat and vertical", "fillet: flat, horizontal and vertical",
    )  # fmt: skip


def test_qw_433_tells_with_and_without_backing_apart() -> None:
    assert f_covered("4", "yes", True) == {"1", "2", "3", "4"}
    assert f_covered("4", "no", False) == {"4"}
    assert f_covered("6", "no", False) == {"6"}


def test_horizontal_is_what_2g_and_2f_need() -> None:
    assert needed("2G") == needed("2F") == needed("2FR") == {"H"}
    assert needed("5F") == {"H", "V", "O"} and needed("5G") == {"F", "V", "O"}


def test_parameters_are_asked_only_where_the_job_records_them() -> None:
    asked = {one.id: one for one in requirements(planned(), replace(JOB, recording="parameters"))}
    amps = asked["amps-recorded"]
    assert (amps.code, amps.record, amps.test, amps.unit) == ("pass-out-of-range", "pass", "requires", "A")
    assert (amps.severity, amps.args["label"], str(amps.source)) == (
        "stop", "Current", "job setting recording of parameters",
    )  # fmt: skip
    assert "amps-recorded" not in {one.id for one in requirements(planned(), JOB)}


def test_the_depth_of_the_largest_socket_is_where_sources_differ() -> None:
    assert socket_depth("4", "3000")[1].state == "conflict"
    assert socket_depth("1", "3000")[1].state == "checked"
    assert socket_depth("1", "3000", "US")[1].state == "memory"


def test_a_dual_grade_is_both_of_its_grades() -> None:
    assert grades("A312 TP304/304L") == ("A312TP304", "A312TP304L")
    assert grades("X5/X6") == ("X5", "X6")


def test_only_a_side_whose_piece_is_named_went() -> None:
    assert scrapped_sides("P-4", "P-4", "P-5") == {"A"}
    assert scrapped_sides("P-4 and P-5", "P-4", "P-5") == {"A", "B"}
    assert scrapped_sides("P-9", "P-4", "P-5") is None


@pytest.mark.parametrize("units", ["US", "SI"])
def test_inside_measurements_that_agree_are_square(units: str) -> None:
    # Common practice: square where the two inside measurements agree, here to 1/32 in.
    square = members_square(D(1000), D("1000.2"), units)
    assert square.value and square.steps[0].endswith(": square")
    askew = members_square(D(1000), D(1003), units)
    assert not askew.value and askew.steps[0].endswith(": not square")


def test_limits_of_a_gap_that_cross_are_told_in_the_units() -> None:
    crossed = GapFigure("owner", Source("PS-110"), least_mm=D("3.175"), greatest_mm=D("1.5875"))
    for units, words in (("US", "1/8 in is over the greatest 1/16 in"), ("SI", "3.175 mm is over the greatest")):
        with pytest.raises(ValueError, match=words) as told:
            judge_gap(None, [crossed], units=units)
        assert "The least gap of the owner " in str(told.value)


def test_ten_percent_of_a_hundred_by_wilson() -> None:
    # Wilson at 95 %, n = 100, x = 10: 0.0552 to 0.1744.
    assert share_told(10, 100) == "10 of 100, 95 %: 5.5 % to 17 %"
    assert share_told(0, 10) == "0 of 10, 95 %: 0 % to 28 %"


def test_the_codes_own_gap_is_to_know_where_the_procedure_sets_none() -> None:
    bare = planned(procedure=replace(PROCEDURE, gap_min_mm=None, gap_max_mm=None))
    [asked] = [one for one in requirements(bare, JOB) if one.id == "gap"]
    assert (asked.severity, asked.bounds, asked.args["label"], asked.unit) == (NOTE, [None, None], "Gap", "mm")
    assert asked.args["unit"] == "in" and "1/16 in" in asked.args["figure"]
    [metric] = [one for one in requirements(bare, SI_JOB) if one.id == "gap"]
    assert metric.args["unit"] == "mm" and "1.5 mm" in metric.args["figure"]


def test_a_fit_up_of_an_old_revision_is_told_on_its_own_attempt() -> None:
    anew = accepted(
        examinations=(examination(result="rejected"),),
        repairs=(repair("cut-out"), repair("repair", id="d2", attempt="W1", done_on=date(2026, 3, 20))),
        fit_ups=(fit_up(), fit_up(id="f2", attempt="W1", done_on=date(2026, 3, 10), revision="1")),
    )
    [found] = [one for one in findings(anew, JOB, people()) if one.code == "superseded-revision"]
    assert (found.attempt, found.record, found.measured, found.limit) == ("W1", "f2", "1", "2")


def test_each_reason_names_only_the_roles_that_are_refused() -> None:
    mixed = replace(PROCEDURE, processes=("GTAW", "SMAW"), passes=(
        procedure_pass("root"), procedure_pass("cap", process="SMAW", filler="E7018", f_number="4"),
    ))  # fmt: skip
    [answer] = who_may_weld(planned(procedure=mixed), JOB, [welder()])
    assert answer.reasons and all("root" not in one for one in answer.reasons)


def test_a_pass_in_a_position_outside_its_procedure_is_told() -> None:
    flat = replace(PROCEDURE, positions=("flat",))
    above = tuple(replace(one, position="overhead") for one in PASSES)
    codes = [one.code for one in findings(welded(procedure=flat, passes=above), JOB, people())]
    assert "procedure-not-applicable" in codes
    beneath = tuple(replace(one, position="flat") for one in PASSES)
    codes = [one.code for one in findings(welded(procedure=flat, passes=beneath), JOB, people())]
    assert "procedure-not-applicable" not in codes


def test_the_joint_stands_on_the_fit_up_of_its_live_attempts() -> None:
    gone = released(
        releases=(),
        examinations=(examination(result="rejected"),),
        repairs=(repair("cut-out"),),
        passes=(*PASSES, weld_pass(1, "root", id="w1", attempt="W1", done_on=date(2026, 3, 9))),
    )
    # The fit-up of what was cut out is no fit-up of the new weld.
    assert "fit-up-missing" in [one.code for one in findings(gone, JOB, people())]


RULE = LotRule("1", "N10", "all", "RT", "final", D(20), ("line",), None)


def lot_weld(number: int, *welders: str, **changes: object) -> LotWeld:
    at = (date(2026, 3, 3), number)
    sound = LotWeld(str(number), f"D/1/{number}", f"{number:04}", {"line": "L"}, at, True, "0", welders)  # type: ignore[arg-type]
    return replace(sound, **changes)  # type: ignore[arg-type]


def test_what_is_picked_and_not_examined_yet_need_not_be_picked_again() -> None:
    five = [lot_weld(number, "A1") for number in range(1, 6)]
    assert judge_lot(RULE, "line L", five).to_pick == 1
    pending = [replace(five[0], picked="sample"), *five[1:]]
    assert (judge_lot(RULE, "line L", pending).pending, judge_lot(RULE, "line L", pending).to_pick) == (1, 0)
    extra = [replace(five[0], picked="extra"), *five[1:]]
    assert judge_lot(RULE, "line L", extra).to_pick == 1
    two = [lot_weld(1, "A1", picked="sample"), lot_weld(2, "B2")]
    assert judge_lot(RULE, "line L", two).to_pick == 1


def test_a_reject_without_a_joint_left_says_of_none_that_it_can_serve() -> None:
    at = (date(2026, 3, 4), 1)
    alone = [lot_weld(1, "A1", charged=("A1",), result="rejected", examined=at)]
    lot = judge_lot(RULE, "line L", alone)
    for extra in lot.extras:
        assert "can serve" not in told_extra(lot, extra)
    pair = judge_lot(RULE, "line L", [*alone, lot_weld(2, "A1")])
    assert "; D/1/2 can serve" in told_extra(pair, pair.extras[0])
