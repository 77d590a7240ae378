"""Penetrant and magnetic-particle indications, by hand from 344.4.2: 5 mm (3/16 in), four in a line, linear none."""

from decimal import Decimal

import pytest

from rules.surface_indications import Surface, judge_surface
from rules.units import US

D = Decimal


@pytest.mark.parametrize(
    ("seen", "accepted"),
    [
        (Surface(), True),
        (Surface(rounded=(D(5),)), True),
        (Surface(rounded=(D("5.1"),)), False),
        (Surface(linear=(D("1.5"),)), True),
        (Surface(linear=(D("1.6"),)), False),
        (Surface(in_line=3), True),
        (Surface(in_line=4), False),
        (Surface(in_line=4, apart_mm=D("1.5")), False),
        (Surface(in_line=4, apart_mm=D("1.6")), True),
    ],
)
@pytest.mark.parametrize("method", ["PT", "MT"])
def test_each_criterion_alone(method: str, seen: Surface, accepted: bool) -> None:
    assert (not judge_surface(method, seen).value) is accepted


def test_every_reason_is_told_and_the_source_named() -> None:
    seen = Surface(rounded=(D(6), D(1)), linear=(D(2),), in_line=5)
    found = judge_surface("PT", seen)
    assert len(found.value) == 3
    assert found.steps[0] == "relevant over 1.5 mm: 1 of 3 are not"
    assert str(found.source) == "ASME B31.3-2016 344.4.2"
    assert judge_surface("MT", seen).source.state == "memory"


def test_a_us_job_has_its_own_figures() -> None:
    # 3/16 in is 4.7625 mm: 5 mm is over it.
    assert judge_surface("PT", Surface(rounded=(D(5),)), US).value == ("rounded indication 0.197 in is over 3/16 in",)


def test_refuses_another_method_and_a_negative() -> None:
    with pytest.raises(ValueError, match="accepted are PT, MT"):
        judge_surface("UT", Surface())
    with pytest.raises(ValueError, match="cannot be negative"):
        judge_surface("PT", Surface(rounded=(D(-1),)))
