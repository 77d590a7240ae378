"""The state of a joint from its records, whatever was recorded first."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from itertools import permutations

import pytest

from rules.attempts import live, sequence
from rules.facts import JointFacts, PassFacts
from rules.state import derive
from tests.rules.cast import (
    EXAMINED,
    JOB,
    PASSES,
    VT_RULE,
    WELDED,
    D,
    accepted,
    examination,
    fit_up,
    fitted,
    planned,
    release,
    released,
    repair,
    weld_pass,
    welded,
)


@pytest.mark.parametrize(
    ("joint", "state", "next_step"),
    [
        (planned(), "planned", "fit up"),
        (fitted(), "fitted", "weld"),
        (fitted(passes=PASSES[:2]), "in progress", "weld"),
        (welded(), "welded", "examine VT"),
        (accepted(), "accepted", "release"),
        (released(), "released", "nothing"),
        (released(withdrawn=True), "withdrawn", "nothing"),
        (welded(examinations=(examination(result="rejected"),)), "rejected", "decide repair"),
        (planned(examinations=(examination("RT", result="re-shoot"),)), "welded", "examine VT"),
        (welded(examinations=(examination(result="re-shoot"),)), "welded", "examine VT"),
        (welded(exam_rules=()), "welded", "examine VT"),
    ],
)
def test_state_and_next_step(joint: JointFacts, state: str, next_step: str) -> None:
    derived = derive(joint, JOB)
    assert (derived.state, derived.next_step) == (state, next_step)


def test_every_method_asked_of_each_joint_must_be_accepted() -> None:
    both = (VT_RULE, replace(VT_RULE, method="PT"))
    derived = derive(accepted(exam_rules=both), JOB)
    assert (derived.state, derived.due, derived.next_step) == ("welded", ("PT",), "examine PT")
    done = (examination(), examination("PT"))
    assert derive(accepted(exam_rules=both, examinations=done), JOB).state == "accepted"


def test_an_examination_of_another_stage_is_not_the_final_one() -> None:
    early = examination(stage="fit-up")
    assert derive(fitted(examinations=(early,)), JOB).state == "fitted"
    assert derive(welded(examinations=(early,)), JOB).due == ("VT",)


def test_an_examination_or_a_rule_that_names_no_stage_is_of_the_finished_weld() -> None:
    assert derive(welded(examinations=(examination(stage=""),)), JOB).due == ()
    assert derive(accepted(exam_rules=(replace(VT_RULE, stage=""),)), JOB).due == ()


def test_an_acceptance_of_another_stage_alone_accepts_no_weld() -> None:
    early, last = examination(id="e0", stage="root", done_on=date(2026, 3, 9)), examination()
    assert derive(welded(exam_rules=(), examinations=(early,)), JOB).state == "welded"
    both = derive(welded(examinations=(early, last)), JOB)
    assert (both.state, both.accepted_on) == ("accepted", date(2026, 3, 9))


def test_a_weld_without_a_cap_is_finished_on_the_day_of_the_first_final_examination() -> None:
    days = [date(2026, 3, day) for day in (6, 4, 9)]
    looks = tuple(examination(id=f"e{day}", result="re-shoot", done_on=day) for day in days)
    assert derive(fitted(examinations=looks), JOB).welded_on == date(2026, 3, 4)


def test_a_reject_after_the_release_takes_it_back_and_one_before_does_not() -> None:
    before = examination(id="e0", result="rejected", done_on=EXAMINED)
    after = examination(id="e1", result="rejected", done_on=date(2026, 3, 7))
    assert derive(released(examinations=(before,)), JOB).state == "released"
    assert derive(released(examinations=(after,)), JOB).state == "rejected"
    same_day = replace(after, done_on=date(2026, 3, 6))
    assert derive(released(examinations=(same_day,)), JOB).state == "rejected"
    noon = datetime(2026, 3, 6, 12, tzinfo=UTC)
    earlier = replace(same_day, done_at=noon - timedelta(hours=1))
    assert derive(released(examinations=(earlier,), releases=(release(done_at=noon),)), JOB).state == "released"
    assert derive(released(examinations=(earlier,)), JOB).state == "rejected"


def test_a_repair_opens_an_attempt_that_is_welded_next() -> None:
    rejected = welded(examinations=(examination(result="rejected"),), repairs=(repair(),))
    derived = derive(rejected, JOB)
    assert (derived.state, derived.attempt, derived.attempts, derived.next_step) == (
        "planned",
        "R1",
        ("0", "R1"),
        "weld",
    )
    mended = replace(rejected, passes=(*PASSES, weld_pass(4, "cap", attempt="R1")))
    assert derive(mended, JOB).state == "welded"


def test_a_cut_out_opens_an_attempt_that_is_fitted_next() -> None:
    cut = welded(examinations=(examination(result="rejected"),), repairs=(repair("cut-out"),))
    derived = derive(cut, JOB)
    assert (derived.state, derived.attempt, derived.next_step) == ("planned", "W1", "fit up")
    assert derive(replace(cut, fit_ups=(fit_up(), fit_up(id="f2", attempt="W1"))), JOB).state == "fitted"


def test_attempts_follow_the_decisions_whatever_their_order() -> None:
    decisions = (
        repair(),
        repair("cut-out", attempt="R1"),
        repair(attempt="W1", id="d3"),
        repair(attempt="R2", id="d4"),
    )
    for order in permutations(decisions):
        assert sequence(planned(repairs=order)) == ("0", "R1", "W1", "R2", "R3")


def test_the_first_of_two_decisions_on_one_attempt_counts() -> None:
    first, second = repair(id="d1"), repair("cut-out", id="d2", done_on=date(2026, 3, 6))
    assert sequence(planned(repairs=(first, second))) == ("0", "R1")
    assert sequence(planned(repairs=(second, first))) == ("0", "W1")


def halves(*places: tuple[int, int], order: int = 3) -> tuple[PassFacts, ...]:
    return (
        *PASSES[:2],
        *(
            weld_pass(order, "cap", id=f"c{start}-{stop}", start_degrees=D(start), stop_degrees=D(stop))
            for start, stop in places
        ),
    )


@pytest.mark.parametrize(
    ("places", "state"),
    [
        ([(0, 180)], "in progress"),
        ([(90, 90)], "welded"),
        ([(0, 360)], "welded"),
        ([(0, 180), (180, 0)], "welded"),
        ([(0, 180), (195, 0)], "in progress"),
        ([(300, 60), (60, 180), (180, 300)], "welded"),
        ([(300, 60), (60, 180)], "in progress"),
        # Both halves upwards from 6 to 12, as they are welded.
        ([(180, 0), (180, 0)], "welded"),
        ([(180, 0)], "in progress"),
        ([(90, 0), (90, 0)], "welded"),
        ([(0, 90), (0, 90)], "in progress"),
    ],
)
def test_a_cap_whose_segments_say_where_they_ran_is_welded_once_they_close(
    places: list[tuple[int, int]], state: str
) -> None:
    assert derive(fitted(passes=halves(*places)), JOB).state == state


def test_a_cap_of_which_a_segment_is_silent_is_taken_as_it_was_recorded() -> None:
    silent = weld_pass(3, "cap", id="s", start_degrees=None, stop_degrees=None)
    assert derive(fitted(passes=(*halves((0, 180)), silent)), JOB).state == "welded"
    assert derive(fitted(passes=(silent, *halves((0, 180)))), JOB).state == "welded"


def test_each_bead_of_a_cap_must_close() -> None:
    full, half = halves((0, 0)), halves((0, 90), order=4)[2:]
    assert derive(fitted(passes=(*full, *half)), JOB).state == "in progress"


def test_an_examination_of_the_finished_weld_says_that_it_is_finished() -> None:
    seen = fitted(passes=halves((0, 180)), examinations=(examination(leg_a_mm=D("6.35"), leg_b_mm=D("6.35")),))
    assert derive(seen, JOB).state == "accepted"


def test_labels_that_nobody_decided_come_last_repairs_before_re_welds() -> None:
    stray = planned(passes=tuple(weld_pass(1, "root", id=label, attempt=label) for label in ("W1", "R2", "R1")))
    assert sequence(stray) == ("0", "R1", "W1", "R2")


def test_the_live_attempts_start_at_the_last_re_weld() -> None:
    assert live(("0", "R1", "W1", "R2")) == ("W1", "R2")
    assert live(("0", "R1")) == ("0", "R1")


def test_the_state_does_not_depend_on_the_order_of_arrival() -> None:
    joint = released()
    for order in permutations(joint.passes):
        assert derive(replace(joint, passes=order), JOB) == derive(joint, JOB)


def test_dates_of_the_milestones() -> None:
    derived = derive(released(), JOB)
    assert (derived.welded_on, derived.accepted_on, derived.released_on) == (WELDED, EXAMINED, date(2026, 3, 6))


def test_progress_counts_passes_and_is_full_only_when_welded() -> None:
    shares = [derive(fitted(passes=PASSES[:made]), JOB).progress for made in (0, 1, 2, 3)]
    assert shares == [Decimal(0), D("0.50"), D("0.50"), Decimal(1)]
    many = tuple(weld_pass(order, "fill") for order in range(1, 9))
    assert derive(fitted(passes=many), JOB).progress < 1
