"""Hold and witness points: when one is passed, what settles it, and what it asks before."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from rules.facts import AttendanceFacts, JointFacts, PointFacts
from rules.finding import CORRECT, NOTE, Finding
from rules.judge import findings, judged, requirements
from tests.rules.cast import (
    EXAMINED,
    FITTED,
    JOB,
    PASSES,
    WELDED,
    examination,
    fit_up,
    people,
    release,
    released,
    repair,
    weld_pass,
)

CODE = "hold-point-open"


def point(step: str, kind: str = "hold", **changes: Any) -> PointFacts:
    return replace(PointFacts("h1", "4.2", step, kind, "ITP-07"), **changes)


def attended(result: str = "attended", **changes: Any) -> AttendanceFacts:
    return replace(AttendanceFacts("a1", "0", "h1", result, FITTED, None, "Mira Oster"), **changes)


def open_on(joint: JointFacts) -> list[Finding]:
    return [one for one in findings(joint, JOB, people()) if one.code == CODE]


def waits(joint: JointFacts) -> int:
    return judged(joint, JOB, people())[0].waits


def joint(*points: PointFacts, **changes: Any) -> JointFacts:
    return released(points=points, **changes)


def test_a_plan_without_points_asks_nothing() -> None:
    assert not open_on(joint()) and waits(joint()) == 0


def test_a_pass_after_the_fit_up_passes_its_hold_point() -> None:
    [found] = open_on(joint(point("fit-up")))
    assert (found.severity, found.record, found.attempt) == (CORRECT, "p1", "0")
    assert (found.measured, found.limit, found.subject) == ("nothing recorded", "attended or waived", "4.2")
    assert found.source == "ITP-07 point 4.2"
    assert found.message == (
        "Hold point 4.2, fit-up: pass 1 of 2026-03-03 went on and the owner's inspector neither attended nor waived it."
    )


def test_one_attendance_in_time_switches_it_off() -> None:
    with_point = joint(point("fit-up"))
    assert open_on(with_point)
    assert not open_on(replace(with_point, attendances=(attended(),)))
    assert waits(with_point) == 1 and waits(replace(with_point, attendances=(attended(),))) == 0


def test_who_comes_after_the_weld_has_not_seen_the_fit_up() -> None:
    late = attended(done_on=WELDED + timedelta(days=1))
    [found] = open_on(joint(point("fit-up"), attendances=(late,)))
    assert found.measured == "attended 2026-03-04"
    assert found.message.endswith("pass 1 of 2026-03-03 went on before the owner's inspector attended on 2026-03-04.")


def test_on_one_day_the_time_tells_where_both_are_known() -> None:
    at = datetime(2026, 3, 3, 10, tzinfo=UTC)
    passes = (weld_pass(1, "root", done_at=at), *PASSES[1:])
    of_day = attended(done_on=WELDED)
    assert not open_on(joint(point("fit-up"), passes=passes, attendances=(of_day,)))
    before, after = (replace(of_day, done_at=at + timedelta(hours=by)) for by in (-1, 1))
    assert not open_on(joint(point("fit-up"), passes=passes, attendances=(before,)))
    assert open_on(joint(point("fit-up"), passes=passes, attendances=(after,)))


def test_a_waiver_counts_whenever_it_is_given() -> None:
    assert not open_on(joint(point("fit-up"), attendances=(attended("waived", done_on=date(2026, 5, 1)),)))


def test_to_be_told_is_enough_for_a_witness_point_only() -> None:
    told = (attended("notified"),)
    assert not open_on(joint(point("fit-up", "witness"), attendances=told))
    [found] = open_on(joint(point("fit-up"), attendances=told))
    assert found.message.endswith("the owner's inspector was told and neither attended nor waived it.")
    assert found.measured == "notified 2026-03-02"


def test_a_witness_point_is_flagged_more_mildly() -> None:
    [found] = open_on(joint(point("fit-up", "witness")))
    assert (found.severity, found.limit) == (NOTE, "told, attended or waived")
    assert found.message.startswith("Witness point 4.2, fit-up: ")
    assert found.message.endswith("went on and the owner's inspector was not told of it.")
    [late] = open_on(joint(point("fit-up", "witness"), attendances=(attended("notified", done_on=EXAMINED),)))
    assert late.message.endswith("went on before the owner's inspector was told on 2026-03-04.")


def test_a_fit_up_alone_waits_and_is_no_finding() -> None:
    fitted = joint(point("fit-up"), passes=(), examinations=(), releases=())
    assert waits(fitted) == 1 and not open_on(fitted)
    planned = replace(fitted, fit_ups=())
    assert waits(planned) == 0 and not open_on(planned)


def test_the_root_waits_before_the_next_pass() -> None:
    rooted = joint(point("root"), passes=(weld_pass(1, "root"),), examinations=(), releases=())
    assert waits(rooted) == 1 and not open_on(rooted)
    again = replace(rooted, passes=(weld_pass(1, "root"), weld_pass(2, "root")))
    assert not open_on(again)
    gone_on = replace(rooted, passes=(weld_pass(1, "root"), weld_pass(2, "cap")))
    assert [one.record for one in open_on(gone_on)] == ["p2"]
    assert not open_on(joint(point("root"), passes=(weld_pass(1, "cap"),)))


def test_a_weld_known_by_its_examination_alone_went_on_too() -> None:
    [found] = open_on(joint(point("fit-up"), passes=(), examinations=(examination(),)))
    assert found.record == "e-VT" and "VT of 2026-03-04 went on" in found.message


def test_an_accepted_examination_stands_open_until_the_owner_settles_it() -> None:
    examined = joint(point("VT"), examinations=(examination(),), releases=())
    [found] = open_on(examined)
    assert found.record == ""
    assert found.message.endswith("has neither attended nor waived it, and the joint can be released only then.")
    [mild] = open_on(joint(point("VT", "witness"), examinations=(examination(),), releases=()))
    assert mild.message.endswith("the owner's inspector was not told of it.")
    told = replace(examined, attendances=(attended("notified"),))
    assert "was told and has neither" in open_on(told)[0].message
    assert not open_on(replace(examined, attendances=(attended(done_on=EXAMINED),)))
    released = replace(examined, releases=(release(),))
    assert [one.record for one in open_on(released)] == ["r"]
    late = attended(done_on=date(2026, 3, 7))
    assert open_on(replace(released, attendances=(late,))) and not open_on(replace(examined, attendances=(late,)))


def test_an_examination_that_is_due_is_told_of_before_it_is_made() -> None:
    due = joint(point("VT"), examinations=(), releases=())
    assert waits(due) == 1 and not open_on(due)
    rejected = replace(due, examinations=(examination(result="rejected"),))
    assert waits(rejected) == 1 and not open_on(rejected)
    assert waits(replace(due, points=(point("RT"),))) == 0


def test_the_release_itself_can_be_a_hold_point() -> None:
    accepted = joint(point("release"), examinations=(examination(),), releases=())
    assert open_on(accepted) and waits(accepted) == 1
    welded = replace(accepted, examinations=())
    assert open_on(welded) and waits(welded) == 0
    assert not open_on(replace(welded, passes=(weld_pass(1, "root"),)))
    assert not open_on(replace(accepted, attendances=(attended(),)))


def test_a_cut_out_begins_anew_and_a_repair_has_no_fit_up_of_its_own() -> None:
    rejected = joint(point("fit-up"), examinations=(examination(result="rejected"),), releases=())
    mended = replace(rejected, repairs=(repair(),), passes=(*PASSES, weld_pass(1, "cap", id="r1", attempt="R1")))
    assert [one.attempt for one in open_on(mended)] == ["0"]
    anew = replace(
        rejected,
        repairs=(repair("cut-out"),),
        fit_ups=(*released().fit_ups, fit_up(id="f2", attempt="W1", done_on=date(2026, 3, 6))),
        attendances=(attended(),),
    )
    assert not open_on(anew) and waits(anew) == 1
    assert waits(replace(anew, attendances=(attended(attempt="W1", done_on=date(2026, 3, 6)),))) == 0


@pytest.mark.parametrize(
    ("step", "record", "words"),
    [
        ("fit-up", "pass", "attended or waived by the owner's inspector before the first pass"),
        ("root", "pass", "attended or waived by the owner's inspector before the pass after the root"),
        ("VT", "release", "attended or waived by the owner's inspector before the release"),
        ("release", "release", "attended or waived by the owner's inspector before the release"),
    ],
)
def test_what_a_point_asks_before(step: str, record: str, words: str) -> None:
    [asked] = [one for one in requirements(joint(point(step)), JOB) if one.code == CODE]
    assert (asked.id, asked.record, asked.test, asked.severity) == ("point:4.2", record, "requires", CORRECT)
    assert asked.bounds == ["attended", "waived"]
    assert asked.args == {"label": f"Hold point 4.2, {step}", "words": words}
    assert str(asked.source) == "ITP-07 point 4.2"


def test_what_a_witness_point_asks_before() -> None:
    witness = point("fit-up", "witness", document="")
    [asked] = [one for one in requirements(joint(witness), JOB) if one.code == CODE]
    assert asked.severity == NOTE and asked.bounds == ["notified", "attended", "waived"]
    assert asked.args["words"] == "told to, attended or waived by the owner's inspector before the first pass"
    assert str(asked.source) == "inspection and test plan point 4.2"
