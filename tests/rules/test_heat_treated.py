"""Examinations before the heat treatment that they belong after, and leak tests before examinations."""

from datetime import date
from typing import Any

import pytest

from rules.facts import ExaminationFacts, MaterialFacts
from tests.rules.cast import butt, examination, judged

CHROME = MaterialFacts("A335 P11", "4", "1")
BEFORE, TREATED, AFTER = date(2026, 4, 1), date(2026, 4, 3), date(2026, 4, 5)


def on(method: str, day: date, **changes: Any) -> ExaminationFacts:
    """An accepted examination of a day."""
    return examination(method, id=f"{method}{day:%d}", done_on=day, done_at=None, **changes)


def told(*examinations: ExaminationFacts, p: str = "4", **changes: Any) -> list[tuple[str, str, str]]:
    """Which records are out of their order: record, severity, source."""
    metal = MaterialFacts("A335 P11", p, "1")
    sides = {"material_a": metal, "material_b": metal} | changes
    joint = butt(examinations=examinations, releases=(), procedure=None, **sides)
    return [(one.record, one.severity, one.source) for one in judged(joint) if one.code == "record-order"]


# ASME B31.3 341.3.1 (2014): P-Nos. 3, 4, 5A, 5B, 5C and 15E are examined after heat treatment.
@pytest.mark.parametrize("p", ["3", "4", "5A", "5B", "5C", "15E"])
@pytest.mark.parametrize("method", ["VT", "RT", "UT", "PT", "MT"])
def test_a_look_or_a_film_before_the_heat_treatment_is_told(method: str, p: str) -> None:
    ((record, severity, source),) = told(on(method, BEFORE), on("PWHT", TREATED), p=p)
    assert (record, severity, source) == (f"{method}01", "correct", "ASME B31.3 341.3.1")
    assert told(on(method, AFTER), on("PWHT", TREATED), p=p) == []
    assert told(on(method, TREATED), on("PWHT", TREATED), p=p) == []


@pytest.mark.parametrize("p", ["1", "8", "5", ""])
def test_of_other_metals_a_film_may_come_before(p: str) -> None:
    assert told(on("RT", BEFORE), on("PWHT", TREATED), p=p) == []


def test_one_side_is_enough() -> None:
    assert told(on("RT", BEFORE), on("PWHT", TREATED), material_a=None, material_b=CHROME)


def test_what_was_examined_again_since_is_not_told_nor_is_what_was_not_accepted() -> None:
    assert told(on("RT", BEFORE), on("RT", AFTER), on("PWHT", TREATED)) == []
    assert told(on("RT", BEFORE, result="re-shoot"), on("PWHT", TREATED)) == []
    assert told(on("RT", BEFORE), on("PWHT", TREATED, result="rejected")) == []
    assert told(on("RT", BEFORE, stage="root"), on("PWHT", TREATED)) == []


# 341.3.1 speaks of the examination that the code asks for: what is seen as welded, besides, is common practice.
def test_a_look_as_welded_may_come_before_where_another_follows() -> None:
    assert told(on("VT", BEFORE), on("VT", AFTER), on("PWHT", TREATED)) == []
    assert told(on("VT", BEFORE, stage="as welded"), on("VT", AFTER), on("PWHT", TREATED)) == []
    assert told(on("VT", BEFORE, stage="as welded"), on("PWHT", TREATED)) == []
    assert told(on("VT", AFTER), on("PWHT", TREATED)) == []


def test_the_sentence_says_which_metal_is_examined_after_it() -> None:
    joint = butt(examinations=(on("VT", BEFORE), on("PWHT", TREATED)), material_a=CHROME, material_b=CHROME)
    (one,) = (each for each in judged(joint) if each.subject == "VT")
    assert one.message == ("VT is dated 2026-04-01, before the heat treatment of 2026-04-03: P-4 is examined after it.")


# From memory: 331.1.7, hardness proves the heat treatment; 345.2.2, the leak test follows it.
def test_hardness_and_leak_test_follow_the_heat_treatment_of_any_metal() -> None:
    assert told(on("hardness", BEFORE), on("PWHT", TREATED), p="1") == [
        ("hardness01", "correct", "ASME B31.3 331.1.7 (from memory)")
    ]
    assert told(on("leak test", BEFORE), on("PWHT", TREATED), p="1") == [
        ("leak test01", "correct", "ASME B31.3 345.2.2 (from memory)")
    ]
    assert told(on("hardness", AFTER), on("leak test", AFTER), on("PWHT", TREATED), p="1") == []


# From memory: 345.2.6, a repair after the leak test asks for another; the code sets no order, so it is to know.
def test_an_examination_after_the_leak_test_is_a_note() -> None:
    assert told(on("leak test", BEFORE), on("RT", AFTER), p="1") == [
        ("RT05", "note", "ASME B31.3 345.2.6 (from memory)")
    ]
    assert told(on("leak test", AFTER), on("RT", BEFORE), p="1") == []
    assert told(on("leak test", BEFORE, result="rejected"), on("RT", AFTER), p="1") == []
