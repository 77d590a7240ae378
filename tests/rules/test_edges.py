"""Edges of rules that nothing else stands on: a limit met exactly, a second case after a first, an order turned round."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from rules.calculators.asked import ComputeError
from rules.compute import compute
from rules.extent import extent, share
from rules.facts import JointFacts, PieceEventFacts
from rules.judge import findings, requirements
from rules.pieces import standing
from rules.pipe import parse_class
from rules.size_words import dn_of
from rules.specification import parse_limit
from rules.units import UnitError
from tests.rules.cast import (
    FITTED,
    JOB,
    PASSES,
    PROCEDURE,
    WELDED,
    D,
    examination,
    fit_up,
    people,
    planned,
    procedure_pass,
    qualification,
    released,
    weld_pass,
    welded,
    welder,
)


def codes(joint: JointFacts) -> list[tuple[str, str]]:
    return [(one.code, one.record) for one in findings(joint, JOB, people())]


def test_a_procedure_that_covers_one_joint_is_asked_again_for_the_next() -> None:
    # W-11 is for socket and butt welds; a slip-on joint of the same procedure is another question.
    assert codes(released()) == []
    assert "procedure-not-applicable" in dict(codes(released(kind="slip-on")))
    thin = replace(PROCEDURE, thickness_min_mm=D(5))
    assert codes(released(procedure=thin, wall_mm=D("5.54"))) == []
    assert "procedure-not-applicable" in dict(codes(released(procedure=thin)))


def test_each_role_has_its_own_limits_in_one_procedure() -> None:
    rows = (procedure_pass("root", amps_max=D(150)), procedure_pass("fill", amps_max=D(130)), procedure_pass("cap"))
    hot = tuple(replace(one, amps=D(140)) for one in PASSES)
    joint = released(procedure=replace(PROCEDURE, passes=rows), passes=hot)
    assert codes(joint) == [("pass-out-of-range", "p2")]


def test_passes_dated_against_their_order_are_told_once_with_both() -> None:
    turned = (weld_pass(2, "fill", done_on=WELDED - timedelta(1)), PASSES[0], PASSES[2])
    found = findings(released(fit_ups=(fit_up(done_on=FITTED - timedelta(9)),), passes=turned), JOB, people())
    told = [(one.record, one.measured, one.limit, one.message) for one in found if one.code == "record-order"]
    assert told == [("p2", "2026-03-02", "2026-03-03", "Pass 2 is dated 2026-03-02, before pass 1 of 2026-03-03.")]


def test_a_welder_may_weld_on_the_day_of_his_test() -> None:
    tested = qualification(tested_on=WELDED)
    assert findings(released(), JOB, people(welder("A1", tested))) == []
    late = qualification(tested_on=WELDED + timedelta(1))
    assert {one.code for one in findings(released(), JOB, people(welder("A1", late)))} == {"welder-not-qualified"}


def test_a_reject_tells_its_indications() -> None:
    for words, told in (("porosity", " (porosity)"), ("", "")):
        joint = welded(examinations=(examination(result="rejected", indications=words),))
        message = findings(joint, JOB, people())[0].message
        assert message == f"VT of 2026-03-04 by Quinn rejected the weld{told}, and no repair is decided."


def test_one_pass_is_told_as_one() -> None:
    joint = released(passes=(replace(PASSES[2], order=1),))
    told = [one.message for one in findings(joint, JOB, people()) if one.code == "too-few-passes"]
    assert told == ["1 pass is recorded, at least 2 (WPS W-11)."]


def test_too_few_passes_follow_the_last_pass_with_their_severity() -> None:
    joint = released(procedure=replace(PROCEDURE, passes_min=5))
    (one,) = findings(joint, JOB, people())
    assert (one.attempt, one.record, one.measured, one.limit, one.unit) == ("0", "p3", "3", "5", "passes")


# 100 % of any number is that number; 5 % of 20 is one weld, of 21 two, of none none.
@pytest.mark.parametrize(
    ("percent", "count", "least"), [(100, 200, 200), (5, 20, 1), (5, 21, 2), (5, 0, 0), (0, 30, 0)]
)
def test_a_share_is_rounded_up_and_never_over(percent: int, count: int, least: int) -> None:
    assert share(D(percent), count) == least


def test_services_without_visual_share_say_nothing_of_it() -> None:
    # Category D, 341.4.2: by eye to the examiner's satisfaction; no figure, no step.
    assert [step.split(":")[0] for step in extent("Category D", 4, 0).steps] == ["radiography"]
    assert [step.split(":")[0] for step in extent("Normal", 4, 0).steps] == ["radiography", "by eye"]


def test_a_groove_may_have_a_land_of_its_whole_wall_and_no_angle_of_180() -> None:
    groove = {"section": "groove", "nps": "4", "schedule": "40", "process": "GTAW"}
    assert compute("filler-needed", groove | {"land": "6.02 mm", "root": "3 mm"}, units="SI")["result"]
    assert compute("filler-needed", groove | {"angle": "179", "land": "6.02 mm"}, units="SI")["steps"]
    for wrong in ({"angle": "180"}, {"land": "6.03 mm"}):
        with pytest.raises(ComputeError, match="the angle under 180 degrees"):
            compute("filler-needed", groove | wrong, units="SI")


def test_what_is_to_spare_is_added_in_the_last_step() -> None:
    # 12 x 0.0166021 kg / 0.90 x 1.1 = 0.2435 kg.
    fillet = {"section": "fillet", "nps": "1", "schedule": "80", "process": "GTAW", "leg": "6 mm", "joints": "12"}
    step = compute("filler-needed", fillet | {"spare": "10"}, units="SI")["steps"][-1]
    assert step == "12 joints: 0.199 kg / 0.90 + 10 % = 0.243 kg of filler"


def test_a_gap_in_range_has_a_step_for_each_that_sets_one() -> None:
    given = {
        "measured": "3 mm",
        "wps": "W-11",
        "wps_min": "1.5 mm",
        "wps_max": "3 mm",
        "owner": "PS-1",
        "owner_max": "2 mm",
    }
    answer = compute("gap", given, units="SI")
    assert [step.split(":")[0] for step in answer["steps"]][-1] == "measured 3 mm"
    assert len(answer["steps"]) == 4


# ASME B36.10M: NPS 1/2 is DN 15, 1 is 25, 1-1/2 is 40, 2 is 50, 4 is 100.
@pytest.mark.parametrize(("nps", "dn"), [("1/2", 15), ("1", 25), ("1-1/2", 40), ("2", 50), ("4", 100)])
def test_a_nominal_size_has_its_dn(nps: str, dn: int) -> None:
    assert dn_of(nps) == dn


@pytest.mark.parametrize("text", ["3000", "Class 3000", "3000#", "cl. 3000", " CL3000 "])
def test_a_class_is_read_as_it_is_written(text: str) -> None:
    assert parse_class(text) == "3000"


def test_a_limit_of_the_owner_is_read_in_the_jobs_unit() -> None:
    assert parse_limit("preheat min", "50", "US") == 10
    assert parse_limit("preheat min", "10", "SI") == 10
    assert parse_limit("gap min", "1/16", "US") == D("1.5875")


@pytest.mark.parametrize(
    ("name", "text", "units", "span"),
    [
        # 0 °C is 32 °F; -50 °C is -58 °F, 500 °C is 932 °F; an inch is 25.4 mm.
        ("preheat min", "-400", "US", "-58 to 932 °F"),
        ("preheat min", "-59", "US", "-58 to 932 °F"),
        ("interpass max", "933", "US", "-58 to 932 °F"),
        ("interpass max", "-51", "SI", "-50 to 500 °C"),
        ("gap max", "1-1/64", "US", "0 to 1 in"),
        ("undercut max", "25.5", "SI", "0 to 25.4 mm"),
        ("leg min", "101", "SI", "0 to 100 mm"),
    ],
)
def test_a_limit_that_none_can_be_is_refused_with_what_is_accepted(name: str, text: str, units: str, span: str) -> None:
    with pytest.raises(UnitError, match=f'"{text}" can be no limit here; accepted are figures from {span}'):
        parse_limit(name, text, units)


def test_the_ends_of_what_a_limit_can_be_are_accepted() -> None:
    assert parse_limit("preheat min", "-58", "US") == -50
    assert parse_limit("interpass max", "932", "US") == 500
    assert parse_limit("gap max", "1", "US") == D("25.4")
    assert parse_limit("leg min", "100", "SI") == 100


def test_a_piece_stands_with_the_day_of_its_last_record() -> None:
    events = [PieceEventFacts(word, word, date(2026, 3, day)) for word, day in (("received", 1), ("issued", 4))]
    assert (standing("3", events).state, standing("3", events).last_on) == ("issued", date(2026, 3, 4))
    assert standing("3", []).last_on is None


@pytest.mark.parametrize(
    ("has", "allowed", "applies"),
    [("up", "uphill", True), ("down", "up", False), ("up", "down", False), ("", "up", True)],
)
def test_a_progression_is_held_against_the_procedures(has: str, allowed: str, applies: bool) -> None:
    joint = {"joint_kind": "butt", "nps": "4", "schedule": "40", "p": "1", "wps_progression": allowed}
    given = joint | ({"progression": has} if has else {})
    assert compute("procedure-check", given, units="SI")["result"]["applicable"] is applies


def test_every_element_has_its_part_of_the_carbon_equivalents() -> None:
    # CE = 0.1 + 0.6/6 + (0.5+0.3+0.1)/5 + (0.6+0.2)/15 = 0.43333.
    # Pcm = 0.1 + 0.3/30 + (0.6+0.2+0.5)/20 + 0.6/60 + 0.3/15 + 0.1/10 + 5 x 0.001 = 0.22.
    analysis = {
        "C": "0.1",
        "Si": "0.3",
        "Mn": "0.6",
        "Cu": "0.2",
        "Cr": "0.5",
        "Ni": "0.6",
        "Mo": "0.3",
        "V": "0.1",
        "B": "0.001",
    }
    assert compute("carbon-equivalent", analysis)["result"] == {"ce": 0.433333, "pcm": 0.22}


def test_severe_cyclic_conditions_allow_no_undercut() -> None:
    # Table 341.3.2: severe cyclic, undercut: criterion A, none; Normal: criterion H.
    asked = {one.id: one.bounds for one in requirements(planned(severe_cyclic=True), JOB)}
    assert asked["undercut"] == [None, 0]
    assert {one.id: one.bounds for one in requirements(planned(), JOB)}["undercut"] == [None, D("0.79375")]


def test_an_exemption_by_base_metal_is_a_step() -> None:
    steps = extent("Elevated temperature", 10, 4, p_number="1").steps
    assert steps[-1] == "surface and longitudinal examination is asked of P-4 and P-5, not of P-1"
