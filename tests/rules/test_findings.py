"""Each finding code goes on when one fact changes, and is off on the sound joint."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from rules.codes import CODES, SEVERITY
from rules.facts import ExamRuleFacts, JointFacts, PieceEventFacts, PieceFacts
from rules.finding import Finding
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
    examination,
    fit_up,
    fitted,
    heat,
    people,
    planned,
    procedure_pass,
    qualification,
    release,
    released,
    repair,
    weld_pass,
    welded,
    welder,
)

LATER = {"lots and samples": ("sample-short", "extra-examination-due")}


def codes(joint: JointFacts, **settings: Any) -> list[str]:
    """The codes found on a joint, in order."""
    return [one.code for one in judged(joint, **settings)]


def judged(joint: JointFacts, *, crew: Any = None, job: Any = JOB) -> list[Finding]:
    """The findings on a joint with the usual job and people, unless others are given."""
    return findings(joint, job, crew or people())


def with_pass(number: int, **changes: Any) -> tuple[Any, ...]:
    """The three passes, one of them changed."""
    return tuple(replace(one, **changes) if one.order == number else one for one in PASSES)


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
    "a root after the fill": (
        "pass-order",
        lambda: released(passes=(weld_pass(1, "fill"), weld_pass(2, "root"), weld_pass(3, "cap"))),
    ),
    "starts on top of each other": ("stops-stacked", lambda: released(passes=with_pass(2, start_degrees=D(100)))),
    "stops on top of each other across twelve": (
        "stops-stacked",
        lambda: released(passes=with_pass(2, stop_degrees=D(340))),
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


def test_a_reject_stops_the_joint_until_a_repair_is_decided() -> None:
    rejected = welded(examinations=(examination(result="rejected", indications="porosity"),))
    assert codes(rejected) == ["examination-rejected"]
    assert codes(replace(rejected, repairs=(repair(),))) == []


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


def test_nothing_of_a_cut_out_attempt_is_judged_but_the_order_of_records() -> None:
    bad = with_pass(2, amps=D(400), stamp="Z9")
    cut = welded(passes=bad, examinations=(examination(result="rejected"),), repairs=(repair("cut-out"),))
    assert codes(cut) == []
    early = replace(cut, passes=tuple(replace(one, done_on=FITTED - timedelta(1)) for one in bad))
    assert codes(early) == ["record-order"]


def test_the_metal_under_a_repair_is_still_judged() -> None:
    mended = welded(
        passes=with_pass(2, stamp="Z9"), examinations=(examination(result="rejected"),), repairs=(repair(),)
    )
    assert codes(mended) == ["welder-not-qualified"]


def test_a_re_weld_needs_its_own_fit_up() -> None:
    again = welded(
        passes=(*PASSES, weld_pass(1, "root", id="w1", attempt="W1", done_on=date(2026, 3, 6))),
        examinations=(examination(result="rejected"),),
        repairs=(repair("cut-out"),),
    )
    assert codes(again) == ["fit-up-missing"]
    fit = fit_up(id="f2", attempt="W1", done_on=date(2026, 3, 6))
    assert codes(replace(again, fit_ups=(fit_up(), fit))) == []


def test_an_attempt_that_nobody_decided_is_out_of_order() -> None:
    stray = welded(passes=(*PASSES, weld_pass(4, "cap", attempt="R1", done_on=date(2026, 3, 6))))
    assert [(one.code, one.attempt) for one in judged(stray) if one.code == "record-order"] == [("record-order", "R1")]


def test_work_before_the_decision_that_opened_it_is_out_of_order() -> None:
    early = welded(
        passes=(*PASSES, weld_pass(4, "cap", attempt="R1", done_on=EXAMINED)),
        examinations=(examination(result="rejected"),),
        repairs=(repair(),),
    )
    assert "record-order" in codes(early)


def test_a_withdrawn_joint_has_no_findings() -> None:
    assert codes(released(fit_ups=(), withdrawn=True)) == []


def test_a_welding_procedure_of_the_pass_comes_before_that_of_the_joint() -> None:
    hot = replace(PROCEDURE, number="W-12", passes=(procedure_pass("fill", amps_min=D(200), amps_max=D(250)),))
    found = judged(released(passes=with_pass(2, procedure=hot)))
    assert [(one.code, one.subject) for one in found] == [("pass-out-of-range", "W-12")]


def test_a_gap_without_limits_is_not_judged() -> None:
    free = replace(PROCEDURE, gap_min_mm=None, gap_max_mm=None)
    assert codes(released(procedure=free, fit_ups=(fit_up(gap_mm=D(9)),))) == []


def test_the_message_has_value_limit_unit_and_source() -> None:
    (one,) = judged(released(fit_ups=(fit_up(gap_mm=D("4.7625")),)))
    assert one.message == "Gap 3/16 in, at most 1/8 in (WPS W-11)."
    assert (one.measured, one.limit, one.unit, one.source, one.record) == ("3/16", "1/8", "in", "WPS W-11", "f")
    assert one.subject == "W-11"


def test_a_leg_carries_its_arithmetic() -> None:
    (one,) = judged(released(examinations=(examination(leg_a_mm=D("4.7625"), leg_b_mm=D("6")),)))
    assert one.message == "Leg 3/16 in, at least 7/32 in (ASME B31.3 Fig. 328.5.2C)."
    # By hand: 1.09 x 0.179 in = 0.19511 in, and 6/32 = 0.1875 is under it.
    assert one.steps[0].startswith("1.09 x 0.179 in = 0.195 in")
    assert one.steps[0].endswith("-> 7/32 in (next 1/32 in up)")


def test_an_si_job_is_judged_by_the_si_figure() -> None:
    # Criterion H flat limit: 1 mm in an SI job, 1/32 in = 0.79 mm in a US job; Tw/4 = 1.14 mm governs neither.
    deep = released(examinations=(examination(undercut_mm=D("0.9")),))
    assert codes(deep) == ["undercut-too-deep"]
    assert codes(deep, job=replace(JOB, units="SI")) == []


def test_every_reason_against_a_welder_is_told() -> None:
    narrow = qualification(positions=("1G",), coupon_diameter_mm=D("88.9"), f_number="5", p_number="21", backing="yes")
    joint = butt(position="6G", nps="2", od_mm=D("60.3"), wall_mm=D("3.91"), procedure=replace(PROCEDURE, backing="no"))
    one = judged(joint, crew=people(welder("A1", narrow)))[0]
    assert one.code == "welder-not-qualified"
    for reason in ("QW-452.3", "QW-461.9", "QW-423.1", "QW-433", "QW-402.4"):
        assert reason in one.message


def test_a_reject_of_which_nothing_says_what_was_seen_is_noted() -> None:
    bare = examination(result="rejected", indications=" ", report="VT-7")
    told = {one.code: one for one in judged(welded(examinations=(bare,)))}
    assert set(told) == {"examination-rejected", "reason-missing"}
    note = told["reason-missing"]
    assert (note.severity, note.record, note.measured, note.limit) == ("note", "e-VT", "none", "what was seen")
    assert note.message == ("The VT of 2026-03-04 is a reject, and nothing says what was seen; report VT-7 may say it.")
    for said in ({"indications": "Lack of fusion at 3"}, {"undercut_mm": D("0.5")}, {"leg_a_mm": D("7")}):
        one = welded(examinations=(replace(bare, **said),))
        assert "reason-missing" not in [each.code for each in judged(one)]
    # What a cut-out took away is asked no more; a repair goes on with the same metal.
    gone = welded(examinations=(bare,), repairs=(repair("cut-out"),))
    assert "reason-missing" not in [each.code for each in judged(gone)]
    mended = welded(examinations=(bare,), repairs=(repair(reason=""),))
    assert [(each.code, each.attempt) for each in judged(mended)] == [("reason-missing", "0")]


def test_a_cut_out_without_a_reason_is_noted() -> None:
    cut = welded(examinations=(examination(result="rejected"),), repairs=(repair("cut-out", reason=" "),))
    [note] = judged(cut)
    assert (note.code, note.severity, note.record, note.limit) == ("reason-missing", "note", "d-cut-out", "a reason")
    assert note.message == "The cut-out decided on 2026-03-05 gives no reason."


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
