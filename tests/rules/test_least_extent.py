"""Exam plans against the least extents of B31.3 341.4, M341.4 and K341.4, with shares reckoned by hand."""

from typing import Any

import pytest

from rules.facts import ExamRuleFacts
from rules.least_extent import Welds, below_code
from tests.rules.cast import D


def plan(**shares: str) -> tuple[ExamRuleFacts, ...]:
    return tuple(ExamRuleFacts("P-1", method, D(share)) for method, share in shares.items())


def welds(kind: str, count: int = 10, p: str = "1", **shares: str) -> Welds:
    return Welds(kind, count, frozenset({p}), plan(**shares))


def told(*groups: Welds, service: str = "Normal", severe: bool = False, elevated: bool = False) -> list[str]:
    return [one.split(" (")[0] for one in below_code(service, severe, elevated, groups)]


def test_a_plan_below_normal_service_says_what_it_asks_and_what_the_code_does() -> None:
    # 341.4.1: at least 5 % by eye, at least 5 % of butt welds by RT or UT, and nothing else of socket welds.
    found = below_code("Normal", False, False, [welds("butt", VT="100"), welds("socket", VT="100")])
    assert found == (
        "RT or UT: the plan asks 0 % of butt welds, and the code's least is 5 % (ASME B31.3-2012 341.4.1).",
    )
    assert told(welds("butt", VT="5", RT="5"), welds("socket", VT="5")) == []
    assert told(welds("butt", VT="100", UT="5")) == []
    assert told(welds("socket", 10)) == ["VT: the plan asks 0 % of the welds, and the code's least is 5 %"]


def test_a_share_is_that_of_all_welds_of_the_line_together() -> None:
    # 10 % of 30 butt welds and none of 70 is 3 %; of 50 and 50 it is 5 %.
    some = [welds("butt", 30, VT="100", RT="10"), welds("butt", 70, VT="100")]
    assert told(*some) == ["RT or UT: the plan asks 3 % of butt welds, and the code's least is 5 %"]
    assert told(welds("butt", 50, VT="100", RT="10"), welds("butt", 50, VT="100")) == []
    # 0.04 %: one weld of 2,500 fully.
    few = [welds("butt", 1, VT="100", RT="100"), welds("butt", 2499, VT="100")]
    assert told(*few) == ["RT or UT: the plan asks less than 0.1 % of butt welds, and the code's least is 5 %"]


@pytest.mark.parametrize(
    ("about", "groups", "methods"),
    [
        # Category D: what satisfies the examiner, so no share is too little.
        ({"service": "Category D"}, [welds("butt"), welds("socket")], []),
        # M341.4: 20 % RT of butt welds, all by eye.
        ({"service": "Category M"}, [welds("butt", VT="100", RT="19")], ["RT or UT"]),
        ({"service": "Category M"}, [welds("butt", VT="99", RT="20")], ["VT"]),
        # 341.4.3: all butt welds by RT or UT; sockets, and branches not radiographed, by PT or MT.
        ({"severe": True}, [welds("butt", VT="100", RT="99"), welds("socket", VT="100", PT="100")], ["RT or UT"]),
        ({"severe": True}, [welds("socket", VT="100", PT="50")], ["PT or MT"]),
        ({"severe": True}, [welds("olet", VT="100", MT="100"), welds("branch", VT="100", RT="100")], []),
        ({"severe": True}, [welds("olet", VT="100")], ["RT or UT or PT or MT"]),
        # 341.4.4: surface of socket and branch welds of P-4 and P-5 alone, all by eye.
        ({"elevated": True}, [welds("socket", VT="100")], []),
        ({"elevated": True}, [welds("socket", p="5A", VT="100")], ["PT or MT"]),
        ({"elevated": True}, [welds("socket", p="4", VT="100", MT="100")], []),
        ({"elevated": True}, [welds("socket", VT="50")], ["VT"]),
        # K341.4: girth and branch welds fully by RT.
        ({"service": "High pressure"}, [welds("branch", VT="100", RT="50")], ["RT or UT"]),
    ],
)  # fmt: skip
def test_each_service_asks_its_own(about: dict[str, Any], groups: list[Welds], methods: list[str]) -> None:
    assert [one.split(":")[0] for one in told(*groups, **about)] == methods


def test_only_the_final_stage_counts() -> None:
    root = ExamRuleFacts("P-1", "RT", D(100), stage="root")
    group = Welds("butt", 10, frozenset(), (*plan(VT="100"), root))
    assert told(group) == ["RT or UT: the plan asks 0 % of butt welds, and the code's least is 5 %"]


def test_the_gravest_of_several_services_is_told_once() -> None:
    assert told(welds("butt", VT="100"), severe=True) == [
        "RT or UT: the plan asks 0 % of butt welds, and the code's least is 100 %"
    ]
