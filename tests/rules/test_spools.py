"""A spool's state from its steps, what was recorded out of order, and what is missing."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from rules.spools import SpoolJoint, StepFacts, counted, flags, missing, next_step, standing

ACCEPTED = SpoolJoint("1", "accepted", is_field=False, accepted_on=date(2026, 3, 1))


def step(word: str, day: int, **more: Any) -> StepFacts:
    result = "accepted" if word == "dimensional check" else ""
    return replace(StepFacts(f"{word} {day}", word, result, date(2026, 3, day)), **more)


CHECKED, RELEASED = step("dimensional check", 2), step("released", 5)
IN_ORDER = [
    CHECKED, step("cleaned", 3), step("coated", 4), RELEASED, step("shipped", 6), step("received", 8), step("erected", 9)
]  # fmt: skip


def test_each_step_in_its_order_is_the_state_and_raises_no_flag() -> None:
    expected = ["checked", "cleaned", "coated", "released", "shipped", "received", "erected"]
    assert [standing(IN_ORDER[:count]).state for count in range(1, 8)] == expected
    assert flags(IN_ORDER, [ACCEPTED]) == []
    assert standing([]).state == "in fabrication"


def test_the_latest_dimensional_check_counts() -> None:
    rejected = replace(CHECKED, result="rejected")
    assert standing([rejected]).state == "check rejected"
    assert next_step([rejected]) == "dimensional check"
    assert standing([rejected, step("dimensional check", 3)]).state == "checked"


@pytest.mark.parametrize(
    ("left_out", "told"),
    [
        ("dimensional check", "Released on 2026-03-05 without an accepted dimensional check before it."),
        ("released", "Shipped on 2026-03-06 without its release before it."),
        ("shipped", "Received on 2026-03-08 without shipping before it."),
        ("received", "Erected on 2026-03-09 without its receipt on site before it."),
        ("cleaned", "Coated on 2026-03-04 without cleaning before it."),
    ],
)
def test_a_step_left_out_is_flagged_on_the_one_that_follows(left_out: str, told: str) -> None:
    assert [one.message for one in flags([one for one in IN_ORDER if one.step != left_out], [ACCEPTED])] == [told]


def test_cleaning_and_coating_are_not_asked_of_every_spool() -> None:
    assert flags([CHECKED, RELEASED], [ACCEPTED]) == []


def test_a_release_before_its_check_or_after_a_rejected_one_is_flagged() -> None:
    late = step("dimensional check", 6)
    [told] = flags([RELEASED, late], [ACCEPTED])
    assert (told.step, told.message[:30]) == ("released 5", "Released on 2026-03-05 without")
    [told] = flags([replace(CHECKED, result="rejected"), RELEASED], [ACCEPTED])
    assert "although the dimensional check of 2026-03-02 rejected it" in told.message


def test_a_release_before_a_joint_was_accepted_is_flagged_but_not_for_a_field_joint() -> None:
    late = replace(ACCEPTED, number="2", accepted_on=date(2026, 3, 6))
    open_one = SpoolJoint("3", "welded", is_field=False)
    [told] = flags([CHECKED, RELEASED], [ACCEPTED, late, open_one])
    assert told.message == "Released on 2026-03-05 while joints 2, 3 are not accepted by then."
    assert flags([CHECKED, RELEASED], [ACCEPTED, replace(open_one, is_field=True)]) == []


def test_what_is_missing_before_the_release() -> None:
    stopped = replace(ACCEPTED, number="2", stops=1)
    assert missing([], [SpoolJoint("3", "welded", is_field=False), stopped]) == [
        "Joint 3 is not accepted yet.", "Joint 2 has a finding that stops the release.",
        "No dimensional check is recorded.",
    ]  # fmt: skip
    assert missing([CHECKED], [ACCEPTED]) == []
    assert missing([CHECKED, step("shipped", 6)], [ACCEPTED]) == ["Its release is not recorded."]


def test_the_next_step_and_the_counts() -> None:
    assert next_step([]) == "dimensional check"
    assert next_step([CHECKED]) == "released"
    assert next_step(IN_ORDER) == ""
    joints = [ACCEPTED, SpoolJoint("2", "welded", False), SpoolJoint("3", "fitted", False)]
    assert counted(joints) == (2, 1, 3)
