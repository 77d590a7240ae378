"""Indications by penetrant and magnetic particles go by their own acceptance, not by that of films."""

from dataclasses import replace
from decimal import Decimal as D
from typing import Any

import pytest

from rules.indications import held_indication, left_open, read
from rules.judge import findings
from rules.surface_indications import judged_surface
from rules.units import SI, US
from tests.rules.cast import JOB, SI_JOB, examination, people, released

TWO_INCH: dict[str, Any] = {"nps": "2", "schedule": "80", "od_mm": D("60.3"), "wall_mm": D("5.54")}


# ASME B31.3 344.4.2 (PT, 2016) and 344.3.2 (MT, from memory): rejected are linear indications over 1.5 mm (1/16 in)
# and rounded ones over 5 mm (3/16 in). A crack has no place in any weld: Table 341.3.2, A.
@pytest.mark.parametrize("kind", ["butt", "socket"])
@pytest.mark.parametrize("method", ["PT", "MT"])
@pytest.mark.parametrize(
    ("text", "accepted"),
    [
        ("linear indication 1.5 mm", True),
        ("linear indication 1.6 mm", False),
        ("lack of fusion 2 mm long", False),
        ("rounded indication 1.5 mm", True),
        ("rounded indication 4 mm", None),  # four in a line are rejected, which one size does not tell
        ("rounded indication 5 mm", None),
        ("pore 5.1 mm", False),
        ("linear indication", None),
        ("crack 1 mm", False),
        ("undercut 0.5 mm", None),
    ],
)
def test_each_is_held_against_the_acceptance_of_the_method(
    text: str, accepted: bool | None, method: str, kind: str
) -> None:
    (one,) = read(text, SI, method).indications
    held, source = held_indication(one, released(kind=kind, **TWO_INCH), SI_JOB, method)
    assert held.accepted is accepted
    if text.startswith(("linear", "rounded", "pore")):
        assert (source.code, source.clause) == ("ASME B31.3", "344.4.2" if method == "PT" else "344.3.2")
    assert bool(held.undecided) == (accepted is None)


def test_a_us_job_is_held_to_the_inch() -> None:
    joint = released(kind="butt", **TWO_INCH)
    for text, accepted in (("linear indication 1/16 in", True), ("pore 0.19 in", False), ("pore 0.187 in", None)):
        (one,) = read(text, US, "PT").indications
        assert held_indication(one, joint, JOB, "PT")[0].accepted is accepted


def _notes(text: str, result: str, method: str = "PT") -> list[str]:
    look = examination(method, result=result, indications=text, id="x")
    joint = released(kind="butt", examinations=(examination(), look), **TWO_INCH)
    return [one.source for one in findings(joint, SI_JOB, people()) if one.code == "verdict-differs"]


def test_a_linear_indication_rejected_by_penetrant_is_no_difference_though_a_film_would_allow_its_length() -> None:
    assert _notes("linear indication 3 mm", "rejected") == []
    assert _notes("linear indication 3 mm", "rejected", "RT") != []
    assert _notes("linear indication 3 mm", "accepted") == ["ASME B31.3-2016 344.4.2"]
    assert _notes("linear indication 1 mm", "rejected") == ["ASME B31.3-2016 344.4.2"]


def test_a_pore_on_the_surface_is_not_judged_by_the_charts_of_films() -> None:
    # Appendix 4 allows 1.847 mm in 5.54 mm: that is of films.
    assert _notes("rounded indication 4 mm", "accepted") == []
    assert _notes("rounded indication 4 mm", "accepted", "RT") != []
    (told,) = left_open("rounded indication 4 mm", released(kind="butt", **TWO_INCH), SI_JOB, "PT")
    assert "in a line" in told


def test_of_another_code_nothing_is_judged() -> None:
    other = replace(SI_JOB, construction_code="B31.1")
    (one,) = read("linear indication 9 mm", SI, "PT").indications
    assert held_indication(one, released(kind="butt", **TWO_INCH), other, "PT")[0].accepted is None


def test_what_neither_is_linear_nor_rounded_has_no_limit_there() -> None:
    assert judged_surface("undercut", D(1), "PT", SI) is None
    told = judged_surface("linear", None, "MT", SI)
    assert told and (told[0].limit_mm, told[0].accepted) == (D("1.5"), None)
