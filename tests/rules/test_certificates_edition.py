"""The edition of material specifications that a job names decides what its heats are held to."""

from dataclasses import replace
from decimal import Decimal as D

import pytest

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
