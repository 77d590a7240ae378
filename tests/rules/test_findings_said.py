"""What a finding says: value, limit, unit, source, arithmetic and every reason, word for word."""

from dataclasses import replace

from tests.rules.cast import (
    JOB,
    PROCEDURE,
    D,
    butt,
    codes,
    examination,
    fit_up,
    judged,
    people,
    qualification,
    released,
    repair,
    welded,
    welder,
)


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
