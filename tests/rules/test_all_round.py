"""Passes recorded over part of the circumference alone; common practice, no source, and the arcs by hand."""

from dataclasses import replace
from typing import Any

import pytest

from rules.coverage import left_open
from rules.dial import clock_of
from rules.finding import Finding
from tests.rules.cast import (
    JOB,
    PROCEDURE,
    D,
    butt,
    examination,
    fitted,
    judged,
    released,
    repair,
    weld_pass,
)  # fmt: skip

CODE = "pass-not-all-round"


def part(order: int, role: str, start: int | None, stop: int | None, **changes: Any) -> Any:
    """A segment of a pass between two places, in degrees from 12."""
    ends = {"start_degrees": None if start is None else D(start), "stop_degrees": None if stop is None else D(stop)}
    return weld_pass(order, role, **{"id": f"{order}-{role}-{start}", **ends, **changes})


def told(*passes: Any, of: Any = butt, **changes: Any) -> list[Finding]:
    """What is said of passes that are not all round."""
    return [one for one in judged(of(passes=passes, **changes)) if one.code == CODE]


def test_a_root_over_half_of_the_pipe_under_a_full_cap_is_told_with_what_is_open() -> None:
    (one,) = told(part(1, "root", 0, 180), part(2, "fill", 90, 90), part(3, "cap", 0, 0))
    assert (one.severity, one.record, one.attempt, one.source) == (
        "stop", "1-root-0", "0", "common practice, no source",
    )  # fmt: skip
    assert one.message == "Of the root (pass 1) nothing is recorded from 6 to 12 o'clock, and the weld is complete."
    assert (one.measured, one.limit) == ("open from 6 to 12", "all round")


def test_it_is_told_before_the_cap_once_a_later_pass_is_all_round() -> None:
    (one,) = told(part(1, "root", 45, 300), part(2, "hot", 10, 10), of=fitted)
    expected = (
        "Of the root (pass 1) nothing is recorded from 10 to 1:30 o'clock, and pass 2 (hot) over it is all round."
    )
    assert one.message == expected


def test_a_weld_made_half_by_half_is_not_told_while_it_goes_on() -> None:
    assert told(part(1, "root", 0, 180), of=fitted) == []
    assert told(part(1, "root", 0, 180), part(2, "hot", 0, 180), of=fitted) == []
    assert told(part(1, "root", 0, 180), part(2, "hot", None, None), of=fitted) == []


def test_several_arcs_are_named_and_a_cap_that_an_examiner_took_for_finished_is_told_too() -> None:
    root = part(1, "root", 0, 90), part(1, "root", 180, 270)
    first, second = told(*root, part(3, "cap", 0, 180), examinations=(examination(),))
    assert first.measured == "open from 3 to 6 and 9 to 12"
    assert second.message.startswith("Of the cap (pass 3) nothing is recorded from 6 to 12 o'clock")


# Two halves in either way of writing them, upwards on both sides too; and what a bead beside others fills up.
@pytest.mark.parametrize(
    "root",
    [
        (part(1, "root", 0, 180), part(1, "root", 180, 0)),
        (part(1, "root", 180, 0), part(1, "root", 180, 0, id="other")),
        (part(1, "root", 0, 200), part(1, "root", 190, 10)),
        (part(1, "root", 0, 180), part(2, "root", 180, 0)),
        (part(1, "root", 0, 0), part(2, "root", 60, 120)),
        (part(1, "root", 0, 180), part(1, "root", None, None)),
        (part(1, "root", None, 90),),
    ],
)
def test_what_closes_the_circle_or_does_not_say_is_not_told(root: tuple[Any, ...]) -> None:
    assert told(*root, part(3, "cap", 0, 0)) == []


def test_a_repair_is_welded_where_it_is_needed_and_a_lug_where_it_touches() -> None:
    mended = (part(1, "root", 0, 0), part(3, "cap", 0, 0), part(1, "cap", 30, 60, attempt="R1"))
    rejected = examination("RT", result="rejected")
    assert told(*mended, examinations=(rejected,), repairs=(repair(),), releases=()) == []
    lug = part(1, "root", 0, 90), part(2, "cap", 0, 90)
    assert told(*lug, of=released, kind="attachment") == []
    assert len(told(*lug, of=released)) == 2


def test_of_an_original_that_was_cut_out_nothing_is_told() -> None:
    half, whole = part(1, "root", 0, 180), part(1, "root", 0, 0, attempt="W1")
    caps = part(2, "cap", 0, 0), part(2, "cap", 0, 0, attempt="W1")
    cut = {"repairs": (repair("cut-out"),), "releases": (), "examinations": (examination(attempt="W1"),)}
    assert told(half, caps[0], whole, caps[1], **cut) == []


@pytest.mark.parametrize(
    ("arcs", "left"),
    [
        ([(0, 180)], ["6 to 12"]),
        ([(0, 90)], ["3 to 12"]),
        ([(350, 10)], ["12:20 to 11:40"]),
        ([(10, 50), (300, 60)], ["2 to 10"]),
        ([(10, 350)], ["11:40 to 12:20"]),
        ([(30, 90), (120, 330)], ["3 to 4", "11 to 1"]),
        ([(0, 359)], ["11:58 to 12"]),
        # From 3 to 12 may be the nine hours by way of 6, which leave less, or the three the other way.
        ([(90, 0)], ["12 to 3"]),
        ([(0, 120), (120, 240), (240, 0)], []),
        ([(0, 0)], []),
    ],
)
def test_what_is_left_open(arcs: list[tuple[int, int]], left: list[str]) -> None:
    found = left_open([part(1, "root", *arc) for arc in arcs])
    assert [f"{clock_of(start)} to {clock_of(stop)}" for start, stop in found] == left


# Common practice, no source: the root, and who made it, is what a film and a leak speak of.
def test_a_complete_weld_without_its_root_is_told_as_far_as_the_procedure_has_one() -> None:
    rootless = weld_pass(1, "fill"), weld_pass(2, "cap")
    (one,) = judged(released(passes=rootless))
    assert (one.code, one.severity) == ("too-few-passes", "stop")
    assert one.message == "The weld is complete and no root pass is recorded, which WPS W-11 has."
    in_one = replace(PROCEDURE, passes_min=None)
    assert judged(released(procedure=in_one, passes=(weld_pass(1, "cap"),))) == []
    without_table = replace(PROCEDURE, passes=())
    assert judged(released(procedure=without_table, passes=rootless)) == []
    assert judged(released(passes=rootless), job=replace(JOB, recording="joint")) == []
    assert judged(fitted(passes=rootless[:1])) == []
