"""Welds that are made up alike are judged by what was worked out for the first, and no other weld is."""

from dataclasses import replace
from typing import Any

import pytest

from rules import makeup
from rules.facts import JointFacts, MaterialFacts
from rules.judge import findings
from rules.remember import Remembered
from tests.rules.cast import (
    CARBON,
    JOB,
    PASSES,
    PROCEDURE,
    examination,
    fitted,
    people,
    qualification,
    welded,
    welder,
)

PEOPLE = people(welder("A1", qualification(positions=("1G",))))
FLAT = {"position": "1G", "material_a": CARBON, "material_b": CARBON}
# Each with what the change must lead to, by the rule that looks at it.
OTHER_PASS: dict[str, tuple[Any, str]] = {
    "attempt": ("R1", "record-order"),
    "order": (9, "pass-order"),
    "role": ("cap", "pass-order"),
    "process": ("SMAW", "procedure-not-applicable"),
    "position": ("4G", "welder-not-qualified"),
    "filler_classification": ("E7018", "filler-mismatch"),
    "procedure": (replace(PROCEDURE, number="W-12", p_numbers=("8",)), "procedure-not-applicable"),
}
OTHER_JOINT: dict[str, tuple[Any, str]] = {
    "position": ("4G", "welder-not-qualified"),
    "material_a": (MaterialFacts("A312 TP316L", "8"), "procedure-not-applicable"),
    "material_b": (MaterialFacts("A312 TP316L", "8"), "procedure-not-applicable"),
}


@pytest.fixture(autouse=True)
def remembers_the_sound_weld(monkeypatch: pytest.MonkeyPatch) -> None:
    """Judge a sound weld before each."""
    monkeypatch.setattr(makeup, "_makeups", Remembered())
    assert not {one.code for one in findings(welded(**FLAT), JOB, PEOPLE)} & {
        "pass-order", "welder-not-qualified", "filler-mismatch", "procedure-not-applicable", "too-few-passes",
        "record-order",
    }  # fmt: skip


@pytest.mark.parametrize("name", OTHER_PASS)
def test_a_weld_with_one_other_pass_is_judged_for_itself(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    value, code = OTHER_PASS[name]
    sound = welded(**FLAT)
    first, *others = sound.passes
    _is_told(replace(sound, passes=(replace(first, **{name: value}), *others)), code, monkeypatch)


@pytest.mark.parametrize("name", OTHER_JOINT)
def test_a_weld_on_a_joint_planned_otherwise_is_judged_for_itself(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    value, code = OTHER_JOINT[name]
    _is_told(welded(**FLAT | {name: value}), code, monkeypatch)


def test_a_weld_is_counted_once_it_is_complete(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = fitted(procedure=replace(PROCEDURE, passes_min=4), passes=PASSES[:2])
    assert "too-few-passes" not in {one.code for one in findings(begun, JOB, PEOPLE)}
    _is_told(replace(begun, examinations=(examination(),)), "too-few-passes", monkeypatch)


def _is_told(joint: JointFacts, code: str, monkeypatch: pytest.MonkeyPatch) -> None:
    told = findings(joint, JOB, PEOPLE)
    assert code in {one.code for one in told}
    monkeypatch.setattr(makeup, "_makeups", Remembered())
    assert told == findings(joint, JOB, PEOPLE)
