"""Each finding code goes on when one fact changes, and is off on the sound joint."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from rules.codes import CODES, SEVERITY
from rules.facts import ExamRuleFacts, JointFacts, PieceEventFacts, PieceFacts
from rules.judge import findings
from tests.rules.cast import (
    AS_OF,
    EXAMINED,
    FITTED,
    JOB,
    PASSES,
    PROCEDURE,
    VT_RULE,
    WELDED,
    D,
    accepted,
    butt,
    codes,
    examination,
    fit_up,
    fitted,
    heat,
    judged,
    people,
    planned,
    procedure_pass,
    qualification,
    release,
    released,
    weld_pass,
    welded,
    welder,
    with_pass,
)

LATER = {"lots and samples": ("sample-short", "extra-examination-due")}


SOUND = {"planned": planned, "fitted": fitted, "released": released, "a released butt": butt}


@pytest.mark.parametrize("name", SOUND)
def test_a_sound_joint_has_no_findings(name: str) -> None:
    assert judged(SOUND[name]()) == []


def test_a_sound_welded_joint_only_waits_for_its_examination() -> None:
    assert codes(welded()) == ["examination-due"]


OTHER_PROCEDURE = replace(PROCEDURE, p_numbers=("8",))
DOWNHILL = qualification(progression="downhill")

# One change each to a released joint; nothing but the named code may follow.
ON: dict[str, tuple[str, Callable[[], JointFacts]]] = {
    "welded without a fit-up": ("fit-up-missing", lambda: released(fit_ups=())),
    "a gap under the least": ("gap-out-of-range", lambda: released(fit_ups=(fit_up(gap_mm=D("0.79375")),))),
    "a gap over the greatest": ("gap-out-of-range", lambda: released(fit_ups=(fit_up(gap_mm=D("4.7625")),))),
    "one of four readings too wide": (
        "gap-out-of-range",
        lambda: released(fit_ups=(fit_up(gaps_mm={"12": D("3.175"), "6": D("4.7")}),)),
    ),
    "the least of four readings too narrow": (
        "gap-out-of-range",
        lambda: released(fit_ups=(fit_up(gap_mm=None, gaps_mm={"12": D("1"), "6": D("2")}),)),
    ),
    "squareness as given": (
        "squareness-out-of-range",
        lambda: released(fit_ups=(fit_up(squareness_mm=D("1.6")),)),
    ),
    "squareness from four readings": (
        "squareness-out-of-range",
        lambda: released(
            procedure=replace(PROCEDURE, squareness_max_mm=D("1")),
            fit_ups=(fit_up(gaps_mm={"12": D("1.6"), "3": D("2"), "6": D("3"), "9": D("2")}),),
        ),
    ),
    "high-low": ("high-low-out-of-range", lambda: butt(fit_ups=(fit_up(high_low_mm=D("2")),))),
    "an unknown stamp": ("welder-not-qualified", lambda: released(passes=with_pass(2, stamp="Z9"))),
    "an unknown tacker": ("tacker-not-qualified", lambda: released(fit_ups=(fit_up(tack_stamp="Z9"),))),
    "no procedure": (
        "procedure-missing",
        lambda: released(procedure=None),
    ),
    "a procedure for another base metal": ("procedure-not-applicable", lambda: released(procedure=OTHER_PROCEDURE)),
    "too many amps": ("pass-out-of-range", lambda: released(passes=with_pass(2, amps=D(151)))),
    "too few amps": ("pass-out-of-range", lambda: released(passes=with_pass(2, amps=D(89)))),
    "too little preheat": ("pass-out-of-range", lambda: released(passes=with_pass(1, preheat_c=D("9.9")))),
    "too hot between passes": ("pass-out-of-range", lambda: released(passes=with_pass(2, interpass_c=D(177)))),
    "too much heat input": ("pass-out-of-range", lambda: released(passes=with_pass(2, travel_mm_min=D(57)))),
    "another filler": (
        "filler-mismatch",
        lambda: released(passes=with_pass(2, filler_classification="ER70S-2")),
    ),
    "one pass too few": ("too-few-passes", lambda: released(procedure=replace(PROCEDURE, passes_min=4))),
    "no root": (
        "too-few-passes",
        lambda: released(passes=(weld_pass(1, "fill"), weld_pass(2, "cap"))),
    ),
    "half of a root": ("pass-not-all-round", lambda: released(passes=with_pass(1, stop_degrees=D(300)))),
    "a root after the fill": (
        "pass-order",
        lambda: released(passes=(weld_pass(1, "fill"), weld_pass(2, "root"), weld_pass(3, "cap"))),
    ),
    "starts on top of each other": (
        "stops-stacked",
        lambda: released(passes=with_pass(2, start_degrees=D(100), stop_degrees=None)),
    ),
    "stops on top of each other across twelve": (
        "stops-stacked",
        lambda: released(passes=with_pass(2, start_degrees=None, stop_degrees=D(340))),
    ),
    "a leg too small": (
        "leg-too-small",
        lambda: released(examinations=(examination(leg_a_mm=D("6"), leg_b_mm=D("4.7625")),)),
    ),
    "an undercut too deep": (
        "undercut-too-deep",
        lambda: released(examinations=(examination(undercut_mm=D("0.8")),)),
    ),
    "an indication over the table that was accepted": (
        "verdict-differs",
        lambda: released(examinations=(examination(indications="crack at 4:30"),)),
    ),
    "an examination not made": (
        "examination-due",
        lambda: released(exam_rules=(VT_RULE, replace(VT_RULE, method="PT"))),
    ),
    "an unknown examiner": (
        "examiner-not-certified",
        lambda: released(examinations=(examination(by="Nobody"),)),
    ),
    "no heat on a side": ("heat-missing", lambda: released(heat_b=None)),
    "another heat read": ("heat-mismatch", lambda: released(fit_ups=(fit_up(heat_a_read="H9"),))),
    "a heat without certificate": (
        "certificate-missing",
        lambda: released(heat_a=heat("H1", "A106 Gr B", certificate="")),
    ),
    "a heat of another material": (
        "material-mismatch",
        lambda: released(heat_a=heat("H1", "A333 Gr 6")),
    ),
    "phosphorus over its limit": (
        "chemistry-out-of-range",
        lambda: released(heat_a=heat("H1", "A106 Gr B", elements={"P": D("0.040")})),
    ),
    "a piece on hold": (
        "piece-on-hold",
        lambda: released(piece_a=PieceFacts("3", holds=(PieceEventFacts("e1", "on hold", FITTED),))),
    ),
    "a scrapped piece": (
        "piece-scrapped",
        lambda: released(piece_b=PieceFacts("4", scrapped=PieceEventFacts("e1", "scrapped", FITTED))),
    ),
    "a piece cut without its mark": (
        "mark-not-transferred",
        lambda: released(piece_a=PieceFacts("3A", unmarked=PieceEventFacts("e1", "cut", FITTED, is_part=True))),
    ),
    "a lot that nobody issued to the welder": (
        "lot-not-issued",
        lambda: released(passes=with_pass(2, lot_was_issued=False)),
    ),
    "a pass dated before its fit-up": (
        "record-order",
        lambda: released(fit_ups=(fit_up(done_on=WELDED + timedelta(1)),)),
    ),
    "an examination dated before the weld": (
        "record-order",
        lambda: released(examinations=(examination(done_on=FITTED),)),
    ),
    "a release dated before the examination": (
        "record-order",
        lambda: released(releases=(release(done_on=WELDED),)),
    ),
    "accepted and not released": ("release-missing", accepted),
    "an old revision": ("superseded-revision", lambda: released(fit_ups=(fit_up(revision="1"),))),
}


@pytest.mark.parametrize("change", ON)
def test_one_change_gives_one_finding(change: str) -> None:
    code, joint = ON[change]
    assert set(codes(joint())) == {code}
    for one in judged(joint()):
        assert one.severity == SEVERITY[code]
        assert one.joint == "D-1/1/7"
        assert one.message.endswith((".", ".)"))
        assert one.source


def test_a_lapsed_qualification_is_told_from_a_missing_one() -> None:
    lapsed = people(welder("A1", qualification(tested_on=date(2025, 9, 3))))
    assert set(codes(released(), crew=lapsed)) == set()  # 2026-03-03 is the last day, and the pass is the use
    lapsed = people(welder("A1", qualification(tested_on=date(2025, 9, 2))))
    assert set(codes(released(), crew=lapsed)) == {"qualification-lapsed"}
    other = people(welder("A1", qualification(process="SMAW", f_number="4")))
    assert set(codes(released(), crew=other)) == {"welder-not-qualified"}


def test_a_suspended_qualification_counts_from_its_day() -> None:
    suspended = qualification(status="suspended", status_on=WELDED)
    assert set(codes(released(), crew=people(welder("A1", suspended)))) == {"stamp-suspended"}
    later = qualification(status="suspended", status_on=WELDED + timedelta(1))
    assert codes(released(), crew=people(welder("A1", later))) == []


def test_a_stamp_outside_its_period_is_suspended() -> None:
    assert set(codes(released(), crew=people(welder(stamp_to=FITTED)))) == {"stamp-suspended"}
    assert codes(released(), crew=people(welder(stamp_to=WELDED))) == []


def test_an_examiners_certificate_must_reach_the_day() -> None:
    crew = people()
    ended = replace(crew.examiners["Quinn", "VT"], valid_until=EXAMINED - timedelta(1))
    assert codes(released(), crew=people(examiners={("Quinn", "VT"): ended})) == ["examiner-not-certified"]
    ends = replace(ended, valid_until=EXAMINED)
    assert codes(released(), crew=people(examiners={("Quinn", "VT"): ends})) == []


def test_parameters_are_asked_only_at_that_recording_level() -> None:
    silent = released(passes=with_pass(2, amps=None))
    assert codes(silent) == []
    found = judged(silent, job=replace(JOB, recording="parameters"))
    assert [(one.code, one.measured) for one in found] == [("pass-out-of-range", "not recorded")]


def test_passes_are_not_counted_where_only_the_joint_is_recorded() -> None:
    few = released(procedure=replace(PROCEDURE, passes_min=4))
    assert codes(few, job=replace(JOB, recording="joint")) == []


def test_too_few_passes_are_found_only_on_a_complete_weld() -> None:
    begun = fitted(passes=(weld_pass(1, "root"),))
    assert codes(begun) == []


def test_every_segment_of_a_pass_is_judged_but_counts_as_one() -> None:
    halves = (weld_pass(1, "root"), weld_pass(1, "root", id="p1b", start_degrees=D(300)), *PASSES[1:])
    assert codes(released(passes=halves, procedure=replace(PROCEDURE, passes_min=3))) == []


def test_a_joint_without_plan_is_due_nothing() -> None:
    assert codes(welded(has_exam_plan=False, exam_rules=())) == []


def test_a_share_under_all_asks_nothing_of_one_joint() -> None:
    sampled = (VT_RULE, replace(VT_RULE, method="RT", share_percent=D(5)))
    assert codes(released(exam_rules=sampled)) == []


def test_a_film_to_repeat_is_still_due() -> None:
    assert codes(welded(examinations=(examination(result="re-shoot"),))) == ["examination-due"]


def test_what_is_due_names_the_line_of_the_plan_that_asks_it_of_all() -> None:
    some, all_of_them = ExamRuleFacts("P-2", "RT", D(10), stage="root"), ExamRuleFacts("P-2", "RT", D(100))
    [due] = findings(welded(exam_rules=(some, all_of_them)), JOB, people())
    assert due.source == "exam plan P-2 RT 100 %"


def test_a_heat_read_at_fit_up_is_a_heat() -> None:
    known = fit_up(heat_a_read="H7", heat_a=heat("H7", "A106 Gr B"))
    assert codes(released(heat_a=None, fit_ups=(known,))) == []


def test_a_heat_read_where_none_is_planned_is_judged_like_a_planned_one() -> None:
    bare = fit_up(heat_a_read="H7", heat_a=heat("H7", "A182 F11", certificate=""))
    assert codes(released(heat_a=None, fit_ups=(bare,))) == ["certificate-missing", "material-mismatch"]


def test_a_heat_read_that_the_job_does_not_have_is_told() -> None:
    [told] = findings(released(heat_a=None, fit_ups=(fit_up(heat_a_read="H7"),)), JOB, people())
    assert (told.code, told.measured, told.subject) == ("heat-missing", "H7", "H7")
    assert told.message == "Heat H7 was read off side A at fit-up, and the job has no heat of that number."


def test_heats_are_asked_from_fit_up_on() -> None:
    assert codes(planned(heat_a=None, heat_b=None)) == []
    assert codes(fitted(heat_a=None)) == ["heat-missing"]


def test_a_withdrawn_joint_has_no_findings() -> None:
    assert codes(released(fit_ups=(), withdrawn=True)) == []


def test_a_welding_procedure_of_the_pass_comes_before_that_of_the_joint() -> None:
    hot = replace(PROCEDURE, number="W-12", passes=(procedure_pass("fill", amps_min=D(200), amps_max=D(250)),))
    found = judged(released(passes=with_pass(2, procedure=hot)))
    assert [(one.code, one.subject) for one in found] == [("pass-out-of-range", "W-12")]


def test_a_gap_without_limits_is_not_judged() -> None:
    free = replace(PROCEDURE, gap_min_mm=None, gap_max_mm=None)
    assert codes(released(procedure=free, fit_ups=(fit_up(gap_mm=D(9)),))) == []


def test_every_code_is_covered_or_belongs_to_what_comes_later() -> None:
    tried = {code for code, _ in ON.values()}
    here = {
        "table-unconfirmed",
        "reason-missing",
        "examination-rejected",
        "repairs-exceeded",
        "qualification-lapsed",
        "stamp-suspended",
        "hold-point-open",  # test_points.py
    }
    later = {code for group in LATER.values() for code in group}
    assert tried | here | later == set(CODES)


def test_the_day_judged_on_changes_nothing_that_was_done() -> None:
    assert judged(released(), job=replace(JOB, as_of=AS_OF + timedelta(400))) == []
