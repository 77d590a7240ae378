"""The edition of material specifications and the way of comparing that a job names decide what its heats are held to."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

from rules.certificate import check
from rules.facts import HeatFacts, MaterialFacts
from rules.judge import findings
from tests.rules.cast import JOB, people, released

FORGED = HeatFacts("H9", "A105", "C-9", elements={"C": D("0.20"), "Mn": D("0.90")}, hardness=D(192))


@pytest.mark.parametrize(("edition", "outside"), [("", False), ("newer", False), ("older", True)])
def test_the_hardness_of_a105_goes_by_the_jobs_edition(edition: str, outside: bool) -> None:
    # ASTM A105: 187 HBW in older editions, 197 in newer ones.
    joint = released(material_a=MaterialFacts("A105", "1", "2"), heat_a=FORGED)
    told = [
        one
        for one in findings(joint, replace(JOB, certificates_edition=edition), people())
        if one.code == "chemistry-out-of-range"
    ]
    assert bool(told) is outside
    for one in told:
        assert "older edition" in one.source
        assert "187" in one.limit


@pytest.mark.parametrize(("rounding", "outside"), [("", False), ("rounded", False), ("reported", True)])
def test_a_value_a_little_over_its_limit_goes_by_how_the_job_compares(rounding: str, outside: bool) -> None:
    # ASTM A106 Gr B: at most 0.30 % C. ASTM E29 (from memory): 0.304 rounds to 0.30; the absolute method does not round.
    heat = HeatFacts("H8", "A106 Gr B", "C-8", elements={"C": D("0.304"), "Mn": D("0.90")})
    joint = released(material_a=MaterialFacts("A106 Gr B", "1", "1"), heat_a=heat)
    told = findings(joint, replace(JOB, certificates_rounding=rounding), people())
    said = [one.limit for one in told if one.code == "chemistry-out-of-range"]
    assert said == (["at most 0.30 %"] if outside else [])


def test_a_strength_at_its_limit_is_within_it_as_reported_too() -> None:
    # ASTM A106 Gr B: at least 60 and 35 ksi; kept in MPa to four places, as the database has them.
    least = {"tensile_mpa": D("413.6854"), "yield_mpa": D("241.3165")}
    at = check(HeatFacts("H6", "A106 Gr B", "C-6", **least), "US", rounding="reported")
    assert at and at.value == ()
    under = check(HeatFacts("H6", "A106 Gr B", "C-6", **least | {"yield_mpa": D("241.30")}), "US", rounding="reported")
    assert under and [one.property for one in under.value] == ["yield"]
    assert any("as reported" in note for note in under.notes)


def test_manganese_is_raised_by_carbon_as_it_is_compared() -> None:
    # ASTM A106: for each 0.01 % C under its limit 0.06 % Mn more than 1.06 %; 0.285 % C rounds to 0.28, two such steps.
    heat = HeatFacts("H7", "A106 Gr B", "C-7", elements={"C": D("0.285"), "Mn": D("1.18")})
    assert not (rounded := check(heat)) or not rounded.value
    reported = check(heat, rounding="reported")
    assert reported and [one.step for one in reported.value] == ["Mn limit 1.06 + 1 x 0.06 = 1.12"]
