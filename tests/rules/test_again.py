"""What a repair brings back; ASME B31.3 341.3.3 (new work by the same methods) and 345.2.6, from memory."""

from datetime import date
from typing import Any

import pytest

from rules.again import again
from rules.facts import ExamRuleFacts, JointFacts
from rules.state import derive
from tests.rules.cast import JOB, PASSES, VT_RULE, D, butt, examination, judged, release, repair, weld_pass

FIRST, DECIDED, MENDED, SEEN = date(2026, 3, 5), date(2026, 3, 6), date(2026, 3, 7), date(2026, 3, 8)
SHARE = ExamRuleFacts("P-1", "RT", D(10))


def on(method: str, day: date, attempt: str = "0", result: str = "accepted") -> Any:
    return examination(method, id=f"{method}-{attempt}-{day:%d}", done_on=day, attempt=attempt, result=result)


def mended(*seen: Any, welded: bool = True, **changes: Any) -> JointFacts:
    """A butt weld whose first attempt was decided to be repaired; the repair is welded and seen."""
    passes = (*PASSES, weld_pass(1, "cap", attempt="R1", id="r1", done_on=MENDED)) if welded else PASSES
    decided = {"repairs": (repair(done_on=DECIDED),), "releases": (), "exam_rules": (VT_RULE, SHARE)}
    return butt(passes=passes, examinations=(*seen, on("VT", SEEN, "R1")), **decided | changes)


def due(joint: JointFacts) -> list[tuple[str, str, str]]:
    return [(one.subject, one.message, one.source) for one in judged(joint) if one.code == "examination-due"]


@pytest.mark.parametrize("method", ["RT", "PT", "UT"])
def test_a_method_that_rejected_the_weld_is_due_on_its_repair(method: str) -> None:
    joint = mended(on(method, FIRST, result="rejected"))
    told = f"{method} of this butt weld is due: it rejected the weld on 2026-03-05, and new work is examined by the same method."
    assert due(joint) == [(method, told, "ASME B31.3 341.3.3 (from memory)")]
    derived = derive(joint, JOB)
    assert (derived.state, derived.next_step, derived.due) == ("welded", f"examine {method}", (method,))
    seen = mended(on(method, FIRST, result="rejected"), on(method, SEEN, "R1"))
    assert due(seen) == [] and derive(seen, JOB).state == "accepted"


def test_a_film_to_repeat_does_not_settle_it_nor_does_one_of_another_stage() -> None:
    reject = on("RT", FIRST, result="rejected")
    assert due(mended(reject, on("RT", SEEN, "R1", "re-shoot")))
    assert due(mended(reject, examination("RT", id="root", attempt="R1", stage="root", done_on=SEEN)))


def test_what_was_accepted_before_does_not_come_back() -> None:
    assert due(mended(on("VT", FIRST, result="rejected"), on("RT", FIRST))) == []


def test_a_reject_that_an_attempt_between_settled_does_not_come_back() -> None:
    decided = (repair(done_on=DECIDED), repair(attempt="R1", id="d2", done_on=date(2026, 3, 9)))
    passes = (*PASSES, *(weld_pass(1, "cap", attempt=one, id=one, done_on=MENDED) for one in ("R1", "R2")))
    vt = on("VT", SEEN, "R1", "rejected"), on("VT", date(2026, 3, 10), "R2")
    reject, settled = on("RT", FIRST, result="rejected"), on("RT", SEEN, "R1")
    base = {"repairs": decided, "passes": passes, "releases": (), "exam_rules": (VT_RULE,)}
    assert due(butt(examinations=(reject, settled, *vt), **base)) == []
    assert [one for one, _, _ in due(butt(examinations=(reject, *vt), **base))] == ["RT"]


def test_a_film_after_the_repair_that_names_the_first_attempt_counts() -> None:
    assert due(mended(on("RT", FIRST, result="rejected"), on("RT", SEEN))) == []


@pytest.mark.parametrize("method", ["PWHT", "hardness", "leak test"])
def test_a_heat_treatment_and_a_test_before_the_repair_was_welded_come_back(method: str) -> None:
    reject = on("VT", FIRST, result="rejected")
    told = f"{method} of this butt weld is due: that of 2026-03-05 came before the weld was repaired."
    assert due(mended(on(method, FIRST), reject)) == [(method, told, "ASME B31.3 345.2.6 (from memory)")]
    assert due(mended(on(method, FIRST), reject, welded=False)) == []
    assert due(mended(on(method, FIRST), reject, on(method, SEEN, "R1"))) == []
    assert due(mended(on(method, SEEN), reject)) == []


def test_a_new_weld_after_a_cut_out_is_examined_by_what_rejected_the_one_before() -> None:
    passes = (
        *PASSES,
        *(weld_pass(n, role, attempt="W1", id=f"w{n}", done_on=MENDED) for n, role in ((1, "root"), (2, "cap"))),
    )
    seen = on("RT", FIRST, result="rejected"), on("VT", SEEN, "W1")
    joint = butt(passes=passes, examinations=seen, repairs=(repair("cut-out", done_on=DECIDED),), releases=())
    assert [one for one, _, _ in due(joint)] == ["RT"]


def test_it_stops_the_release_and_says_so_on_what_was_released() -> None:
    joint = mended(on("RT", FIRST, result="rejected"), releases=(release(attempt="R1", done_on=date(2026, 3, 9)),))
    assert [one.severity for one in judged(joint) if one.code == "examination-due"] == ["stop"]


def test_where_the_plan_asks_for_it_anyhow_the_plan_is_named() -> None:
    joint = mended(on("RT", FIRST, result="rejected"), exam_rules=(VT_RULE, ExamRuleFacts("P-1", "RT", D(100))))
    ((_, told, source),) = due(joint)
    assert "the plan P-1 asks for it on every one" in told and source == "exam plan P-1 RT 100 %"


def test_a_joint_that_was_made_once_is_made_nothing_again() -> None:
    assert again(butt(examinations=(on("RT", FIRST, result="rejected"),)), ("0",)) == {}
    reject = on("RT", FIRST, result="rejected")
    assert again(mended(reject), ("0", "R1")) == {"RT": reject}
