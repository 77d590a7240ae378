"""The diameter of a filler lot against the procedure's row; sizes by AWS A5.1 and A5.18, from memory."""

from dataclasses import replace
from typing import Any

import pytest

from rules.filler_size import requirement
from rules.finding import Finding
from rules.judge import requirements
from rules.limits import shown_bounds
from tests.rules.cast import JOB, PROCEDURE, SI_JOB, D, judged, procedure_pass, released, with_pass

INCH = D("25.4")
THREE_32NDS, EIGHTH = 3 * INCH / 32, INCH / 8


def told(size: Any, used: Any, *, job: Any = JOB, **used_as: Any) -> list[Finding]:
    """The findings where every row names one size and pass 2 was made with another."""
    rows = tuple(procedure_pass(role, filler_diameter_mm=size) for role in ("root", "fill", "cap"))
    passes = with_pass(2, filler_diameter_mm=used, **used_as)
    return judged(released(procedure=replace(PROCEDURE, passes=rows), passes=passes), job=job)


def test_filler_of_another_diameter_is_told_in_the_units_of_the_job() -> None:
    (one,) = told(THREE_32NDS, EIGHTH)
    assert (one.code, one.severity, one.record, one.subject) == ("filler-mismatch", "stop", "p2", "W-11")
    assert one.message == "Filler of pass 2 (fill) is 1/8 in in diameter; WPS W-11 asks for 3/32 in."
    assert (one.measured, one.limit, one.unit) == ("1/8", "3/32", "in")
    assert one.steps == ("sizes within 5 % of each other are one, as 3/32 in and 2.5 mm (common practice)",)
    (one,) = told(D("2.4"), D("3.2"), job=SI_JOB)
    assert one.message == "Filler of pass 2 (fill) is 3.2 mm in diameter; WPS W-11 asks for 2.4 mm."
    assert [one.code for one in told(EIGHTH, THREE_32NDS)] == ["filler-mismatch"]


# An inch size of the trade and the metric ones sold beside it.
@pytest.mark.parametrize(
    ("inch", "metric"),
    [("0.030", "0.8"), ("0.035", "0.9"), ("0.040", "1.0"), ("0.045", "1.1"), ("0.045", "1.2"), ("0.0625", "1.6"),
     ("0.078125", "2.0"), ("0.09375", "2.4"), ("0.09375", "2.5"), ("0.125", "3.2"), ("0.125", "3.25"),
     ("0.15625", "4.0"), ("0.1875", "4.8"), ("0.1875", "5.0")],
)  # fmt: skip
def test_an_inch_size_is_its_metric_neighbour(inch: str, metric: str) -> None:
    assert told(D(inch) * INCH, D(metric)) == []
    assert told(D(metric), D(inch) * INCH, job=SI_JOB) == []


SIZES = ("0.030", "0.035", "0.040", "0.045", "0.052", "0.0625", "0.078125", "0.09375", "0.125", "0.15625", "0.1875")


@pytest.mark.parametrize(("one", "next_up"), list(zip(SIZES, SIZES[1:], strict=False)))
def test_the_next_size_is_another(one: str, next_up: str) -> None:
    assert [each.code for each in told(D(one) * INCH, D(next_up) * INCH)] == ["filler-mismatch"]
    assert [each.code for each in told(D(next_up) * INCH, D(one) * INCH)] == ["filler-mismatch"]


def test_what_is_not_known_is_not_judged() -> None:
    assert told(None, EIGHTH) == []
    assert told(THREE_32NDS, None) == []


def test_another_classification_is_told_once() -> None:
    (one,) = told(THREE_32NDS, EIGHTH, filler_classification="ER70S-2")
    assert "ER70S-2" in one.message


def test_each_of_two_fillers_is_held_to_its_own_size() -> None:
    rows = (
        procedure_pass("root", filler_diameter_mm=THREE_32NDS),
        procedure_pass("fill", filler_diameter_mm=THREE_32NDS),
        procedure_pass("fill", filler="ER70S-2", filler_diameter_mm=EIGHTH),
        procedure_pass("cap"),
    )
    procedure = replace(PROCEDURE, passes=rows)
    for filler, size, expected in (
        ("ER70S-6", THREE_32NDS, []),
        ("ER70S-6", EIGHTH, ["filler-mismatch"]),
        ("ER70S-2", EIGHTH, []),
        ("er 70s-2", THREE_32NDS, ["filler-mismatch"]),
    ):
        passes = with_pass(2, filler_classification=filler, filler_diameter_mm=size)
        assert [one.code for one in judged(released(procedure=procedure, passes=passes))] == expected
    asked = {one.id: shown_bounds(one) for one in requirements(released(procedure=procedure), JOB)}
    assert asked["filler-diameter:root"] == asked["filler-diameter:fill"] == "3/32 in"
    assert asked["filler-diameter:fill:2"] == "1/8 in"


def test_a_row_that_names_a_size_alone_speaks_of_any_filler() -> None:
    row = procedure_pass("root", filler="", filler_diameter_mm=EIGHTH)
    (asked,) = requirement(PROCEDURE, row, "root", "US")
    assert asked.when == {"pass": "root", "process": "GTAW"}
    rows = (row, procedure_pass("fill"), procedure_pass("cap"))
    joint = released(procedure=replace(PROCEDURE, passes=rows), passes=with_pass(1, filler_diameter_mm=THREE_32NDS))
    assert [one.code for one in judged(joint)] == ["filler-mismatch"]
