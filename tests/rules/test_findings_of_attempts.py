"""What is found on repairs, cut-outs and re-welds: which attempt is judged, and in which order its records must be."""

from dataclasses import replace
from datetime import date, timedelta

from tests.rules.cast import (
    EXAMINED,
    FITTED,
    PASSES,
    D,
    codes,
    examination,
    fit_up,
    judged,
    repair,
    weld_pass,
    welded,
    with_pass,
)


def test_a_reject_stops_the_joint_until_a_repair_is_decided() -> None:
    rejected = welded(examinations=(examination(result="rejected", indications="porosity"),))
    assert codes(rejected) == ["examination-rejected"]
    assert codes(replace(rejected, repairs=(repair(),))) == []


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
