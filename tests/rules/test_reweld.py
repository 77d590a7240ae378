"""A joint that was cut out: which side got another piece, and what is held against the plan from then on."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from rules.facts import JointFacts
from rules.judge import findings, requirements
from rules.reweld import scrapped_sides
from tests.rules.cast import JOB, examination, fit_up, heat, people, repair, weld_pass, welded

AGAIN = date(2026, 3, 9)


def re_welded(scrapped: frozenset[str] | None, **read: Any) -> JointFacts:
    """The joint rejected, cut out, fitted up again with what was read, and welded to its root."""
    return welded(
        examinations=(examination(result="rejected"),),
        repairs=(repair("cut-out", scrapped=scrapped),),
        fit_ups=(fit_up(heat_a_read="H1", heat_b_read="H2"), fit_up(id="f2", attempt="W1", done_on=AGAIN, **read)),
        passes=(weld_pass(1, "root", id="w1", attempt="W1", done_on=AGAIN),),
    )


def codes(joint: JointFacts) -> set[tuple[str, str]]:
    told = findings(joint, JOB, people())
    return {(one.code, one.subject) for one in told if one.code.startswith(("heat", "material", "certif", "chemistry"))}


@pytest.mark.parametrize(
    ("said", "sides"),
    [
        ("", None),
        ("A", {"A"}),
        ("b", {"B"}),
        ("both", {"A", "B"}),
        ("both sides, piece 3 and 6X", {"A", "B"}),
        ("none", set()),
        ("side B, piece 6X", {"B"}),
        ("6x", {"B"}),
        ("3, 6X", {"A", "B"}),
        ("piece 3", {"A"}),
        ("elbow", None),
        ("side of the road", None),
        ("side A and B", {"A", "B"}),
        ("side B, side A", {"A", "B"}),
        ("side A stays, side B scrapped", None),
        ("side A or side B", None),
        ("none known", None),
    ],
)
def test_the_piece_that_went_is_found_by_side_or_mark(said: str, sides: set[str] | None) -> None:
    assert scrapped_sides(said, "3", "6X") == sides


def test_a_mark_that_reads_like_a_side_is_the_mark() -> None:
    assert scrapped_sides("B", "B", "C") == {"A"}
    assert scrapped_sides("side B", "B", "C") == {"B"}


def test_another_heat_on_the_side_whose_piece_went_is_as_it_should_be() -> None:
    other = heat("H7", "A105")
    assert codes(re_welded(frozenset("B"), heat_a_read="H1", heat_b_read="H7", heat_b=other)) == set()


def test_the_side_whose_piece_stayed_is_still_held_against_the_plan() -> None:
    found = codes(re_welded(frozenset("B"), heat_a_read="H7", heat_b_read="H8"))
    assert found == {("heat-mismatch", "H1"), ("heat-missing", "H8")}
    assert codes(re_welded(frozenset(), heat_a_read="H1", heat_b_read="H8")) == {("heat-mismatch", "H2")}


def test_a_new_piece_of_which_no_heat_was_read_has_none() -> None:
    assert codes(re_welded(frozenset("B"), heat_a_read="H1")) == {("heat-missing", "B")}
    assert codes(re_welded(frozenset("AB"))) == {("heat-missing", "A"), ("heat-missing", "B")}


def test_where_nobody_said_which_piece_went_neither_heat_is_held() -> None:
    seven, eight = heat("H7", "A106 Gr B"), heat("H8", "A105")
    read = {"heat_a_read": "H7", "heat_b_read": "H8", "heat_a": seven, "heat_b": eight}
    assert codes(re_welded(None, **read)) == set()
    assert codes(re_welded(None)) == set()
    assert codes(re_welded(None, heat_a_read="h 1", heat_b_read="H2")) == set()


def test_a_number_read_that_the_job_does_not_have_is_told_whoever_said_which_piece_went() -> None:
    assert codes(re_welded(None, heat_a_read="H7")) == {("heat-missing", "H7")}
    assert codes(re_welded(frozenset("B"), heat_a_read="H1", heat_b_read="H8")) == {("heat-missing", "H8")}


def test_the_heat_of_the_new_piece_is_judged_by_its_own_certificate_and_material() -> None:
    bare = replace(heat("H7", "A182 F11"), certificate="")
    found = codes(re_welded(frozenset("B"), heat_a_read="H1", heat_b_read="H7", heat_b=bare))
    assert found == {("certificate-missing", "H7"), ("material-mismatch", "H7")}


def test_a_repair_keeps_the_pieces() -> None:
    joint = welded(
        examinations=(examination(result="rejected"),),
        repairs=(repair(scrapped=frozenset("A")),),
        fit_ups=(fit_up(heat_a_read="H7"),),
    )
    assert codes(joint) == {("heat-mismatch", "H1")}


def test_what_was_read_at_an_earlier_re_weld_still_stands_at_the_next() -> None:
    joint = re_welded(frozenset("A"), heat_a_read="H7", heat_b_read="H2", heat_a=heat("H7", "A106 Gr B"))
    second = replace(
        joint,
        repairs=(*joint.repairs, repair("cut-out", id="d2", attempt="W1", done_on=AGAIN, scrapped=frozenset("B"))),
        fit_ups=(
            *joint.fit_ups,
            fit_up(id="f3", attempt="W2", done_on=AGAIN, heat_b_read="H9", heat_b=heat("H9", "A105")),
        ),
    )
    assert codes(second) == set()


def test_the_planned_heat_is_asked_only_where_its_piece_stayed() -> None:
    def asked(joint: JointFacts) -> set[str]:
        return {one.id for one in requirements(joint, JOB) if one.id.startswith("heat-a") or one.id == "heat-b"}

    assert asked(welded()) == {"heat-a", "heat-b"}
    assert asked(re_welded(frozenset("B"))) == {"heat-a"}
    assert asked(re_welded(None)) == set()


def test_a_second_decision_on_an_attempt_is_told_with_the_one_that_counts() -> None:
    joint = welded(
        examinations=(examination(result="rejected"),),
        repairs=(repair(id="d1"), repair("cut-out", id="d2", done_on=date(2026, 3, 6))),
        passes=(weld_pass(1, "root"), weld_pass(2, "cap"), weld_pass(1, "fill", id="r1", attempt="R1", done_on=AGAIN)),
    )
    [told] = [one for one in findings(joint, JOB, people()) if one.code == "record-order"]
    assert (told.record, told.attempt, told.severity) == ("d2", "0", "correct")
    assert "the repair of 2026-03-05 counts, and the cut-out of 2026-03-06 opens nothing" in told.message
