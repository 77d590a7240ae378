"""Edges of papers and people that a small change of the rules would move: texts, sources, the ends of a range."""

from dataclasses import replace
from datetime import date

import pytest

from rules.certificate import carbon_equivalent, check
from rules.extent import extent
from rules.facts import HeatFacts
from rules.heat_input import arc_energy
from rules.judge import findings, requirements
from rules.nps import diameter_inches
from rules.persons import root_need
from rules.ranges import is_short_transfer
from rules.sample import sample
from rules.units import parse_length
from rules.welder import may_weld, shortfalls
from tests.rules.cast import (
    JOB,
    PROCEDURE,
    SI_JOB,
    D,
    butt,
    examination,
    fit_up,
    people,
    planned,
    procedure_pass,
    qualification,
    repair,
    weld_pass,
    welded,
    welder,
)

DAY = date(2026, 3, 3)


def test_boron_counts_five_times_in_pcm() -> None:
    # .10 + 5 x .002 = .11
    assert carbon_equivalent({"C": D("0.10"), "B": D("0.002")}) == (D("0.10"), D("0.110"))


def test_a_fault_whose_limit_has_a_note_carries_it() -> None:
    # A106 Gr B: elongation from 12 %, the least of the specimens that the specification knows.
    found = check(HeatFacts("H", "A106 Gr B", "C", elongation_percent=D(11)))
    assert found is not None and [one.property for one in found.value] == ["elongation"]
    assert found.notes == ("elongation: the least of the specimens that the specification knows",)


def test_no_arc_travels_at_nothing_and_no_list_has_fewer_joints_than_none() -> None:
    with pytest.raises(ValueError, match="it must be over 0"):
        arc_energy(D(12), D(110), D(0))
    assert diameter_inches([("2", 0)]).value == 0
    with pytest.raises(ValueError, match="accepted are whole numbers from 0"):
        diameter_inches([("2", -1)])


def test_no_share_takes_nothing_of_anybody() -> None:
    found = sample(D(0), {("A1", "butt"): 4, ("B2", "butt"): 1})
    assert (found.size, set(found.of.values())) == (0, {0})


@pytest.mark.parametrize(("sign", "mm"), [("¼", "6.35"), ("½", "12.7"), ("¾", "19.05"), ("1¾", "44.45")])
def test_a_fraction_of_one_sign_is_read(sign: str, mm: str) -> None:
    assert parse_length(sign, "US") == D(mm)


@pytest.mark.parametrize(("name", "short"), [("S", True), ("sc", True), ("spray", False), ("globular", False)])
def test_short_circuiting_is_known_by_its_short_names(name: str, short: bool) -> None:
    assert is_short_transfer(name) is short


def test_elevated_temperature_says_why_p_1_is_not_examined_on_its_surface() -> None:
    # 341.4.4: surface examination of P-4 and P-5.
    told = "surface and longitudinal examination is asked of P-4 and P-5, not of P-1"
    of_p1, of_p4 = (extent("Elevated temperature", 10, 10, p_number=one) for one in ("1", "4"))
    assert (of_p1.surface, told in of_p1.steps) == (0, True)
    assert (of_p4.surface, told in of_p4.steps) == (10, False)


def test_who_tacks_is_held_to_the_row_of_the_root_wherever_it_stands() -> None:
    rows = (procedure_pass("cap", process="SMAW", filler="E7018", f_number="4"), procedure_pass("root"))
    need = root_need(butt(), replace(PROCEDURE, processes=("SMAW", "GTAW"), passes=rows), JOB)
    assert (need.process, need.f_number) == ("GTAW", "6")


def test_one_standing_test_is_enough_beside_a_suspended_one() -> None:
    gone = qualification(wpq="Q-0", status="suspended", status_on=date(2026, 2, 1))
    need = root_need(planned(), PROCEDURE, JOB)
    assert may_weld(welder("A1", gone, qualification()), need, DAY, stamp="A1", is_use=True).may
    assert not may_weld(welder("A1", gone), need, DAY, stamp="A1", is_use=True).may


def test_what_a_test_does_not_cover_is_told_in_the_jobs_units_with_its_paragraph() -> None:
    # Wall 6.02 mm = 0.237 in; 2t = 4 mm = 0.157 in (QW-452.1(b)).
    joint, plate = butt(procedure=replace(PROCEDURE, backing="no", progression="uphill")), {"backing": "yes"}
    one = qualification(deposit_mm=D(2), layers=1, progression="downhill", **plate)
    for job, deposit, most in ((JOB, "0.237 in", "0.157 in"), (SI_JOB, "6.02 mm", "4 mm")):
        crew = people(welder("A1", one))
        message = next(found.steps[0] for found in findings(joint, job, crew) if found.code == "welder-not-qualified")
        assert f"deposit thickness {deposit}, at most {most} (ASME BPVC Section IX QW-452.1(b)" in message
        assert "backing none, tested with backing (ASME BPVC Section IX QW-402.4" in message


def test_a_weld_up_is_not_covered_by_a_test_down() -> None:
    # QW-405.3: the direction of a vertical weld.
    procedure = replace(PROCEDURE, progression="uphill")
    need = root_need(butt(position="5G", procedure=procedure), procedure, JOB)
    [found] = shortfalls(qualification(positions=("6G",), progression="downhill"), need, "V")
    assert (found.variable, found.measured, found.limit) == ("progression", "up", "tested down")
    assert "QW-405.3" in str(found.source)


def test_a_procedure_for_thicker_pipe_tells_both_diameters() -> None:
    # NPS 1: 33.4 mm = 1.315 in; 60.325 mm = 2-3/8 in.
    narrow = replace(PROCEDURE, outside_diameter_min_mm=D("60.325"))
    told = [one for one in findings(welded(procedure=narrow), SI_JOB, people()) if one.code.startswith("procedure")]
    assert {(one.measured, one.limit) for one in told} == {("outside diameter 33.4 mm", "at least 60.325 mm")}


def test_a_second_decision_tells_both_and_too_many_repairs_their_number() -> None:
    rejected = [examination(result="rejected", attempt=one, id=f"e{one}") for one in ("0", "R1", "R2")]
    twice = (repair(), repair("cut-out", id="d2", done_on=date(2026, 3, 6)))
    [second] = [
        one for one in findings(welded(examinations=rejected[:1], repairs=twice), JOB, people())
        if one.code == "record-order"
    ]  # fmt: skip
    assert (second.measured, second.limit) == ("cut-out of 2026-03-06", "repair of 2026-03-05")
    often = tuple(repair(attempt=one, id=f"d{one}") for one in ("0", "R1", "R2"))
    [many] = [
        one for one in findings(welded(examinations=rejected, repairs=often), JOB, people())
        if one.code == "repairs-exceeded"
    ]  # fmt: skip
    assert (many.measured, many.limit, many.unit) == ("3", "2", "repairs")


def test_severe_cyclic_service_has_its_own_column() -> None:
    # Table 341.3.2, undercut of a girth weld: H in Normal service, A (none) under severe cyclic conditions.
    def most(severe_cyclic: bool) -> str:
        asked = {one.id: one for one in requirements(butt(severe_cyclic=severe_cyclic), SI_JOB)}
        return str(asked["undercut"].args["greatest"])

    assert (most(False), most(True)) == ("1", "0")


@pytest.mark.parametrize("code", ["B31.3", "ASME B31.3", "asme b31.3"])
def test_the_code_is_known_with_and_without_its_publisher(code: str) -> None:
    # The code's figure for the gap of a socket, about 1/16 in, shows where procedure and owner set none.
    bare = replace(PROCEDURE, gap_min_mm=None, gap_max_mm=None)
    job = replace(JOB, construction_code=code)
    [gap] = [one for one in requirements(planned(procedure=bare), job) if one.id == "gap"]
    assert gap.args["figure"] == "about 1/16 in"
    assert findings(welded(procedure=bare, fit_ups=(fit_up(),), passes=(weld_pass(1, "root"),)), job, people()) == []
