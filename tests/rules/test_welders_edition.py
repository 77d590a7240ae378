"""The edition of Section IX that a job names: families of P-Numbers and the relief of tacks, in findings."""

from dataclasses import replace

import pytest

from rules.facts import JointFacts
from rules.judge import findings
from rules.ranges import qualification_range
from tests.rules.cast import JOB, PROCEDURE, D, MaterialFacts, butt, fit_up, fitted, people, qualification

CREEP = MaterialFacts("A335 Gr P91", "15E", "1")


def of_p91() -> JointFacts:
    """A butt joint of P-15E whose procedure covers it, welded by one tested on P-1."""
    procedure = replace(PROCEDURE, p_numbers=("15E",))
    return butt(material_a=CREEP, material_b=CREEP, procedure=procedure, heat_a=None, heat_b=None)


@pytest.mark.parametrize(("edition", "covered"), [("", True), ("current", True), ("2010", False), ("older", False)])
def test_the_family_of_the_jobs_edition_decides_who_may_weld(edition: str, covered: bool) -> None:
    # QW-423.1: P-15E joined the family of P-1 to P-11 after 2010.
    told = findings(of_p91(), replace(JOB, welders_edition=edition), people())
    against = [one for one in told if one.code == "welder-not-qualified"]
    assert (against == []) is covered
    for one in against:
        assert one.source == f"ASME BPVC Section IX QW-423.1 (editions differ), families of the {edition} edition"


def test_without_an_edition_the_source_names_the_current_one() -> None:
    aluminium = MaterialFacts("6061", "23")
    joint = butt(material_a=aluminium, material_b=aluminium, procedure=replace(PROCEDURE, p_numbers=("23",)))
    (one,) = {one.source for one in findings(joint, JOB, people()) if one.code == "welder-not-qualified"}
    assert one.endswith("families of the current edition")


@pytest.mark.parametrize(("edition", "relieved"), [("", False), ("older", False), ("2010", False), ("current", True)])
def test_a_tack_is_free_of_the_diameter_where_the_jobs_edition_says_so(edition: str, relieved: bool) -> None:
    # QW-452.3: a coupon of 60.3 mm covers grooves from 25 mm; the pipe has 21.3 mm. QW-461.9 notes free tacks.
    small = {"kind": "butt", "nps": "1/2", "schedule": "40", "od_mm": D("21.3"), "wall_mm": D("2.77")}
    joint = fitted(**small, socket_class="", fit_ups=(fit_up(tack_stamp="A1"),))
    codes = [one.code for one in findings(joint, replace(JOB, welders_edition=edition), people())]
    assert ("tacker-not-qualified" not in codes) is relieved


def test_a_weld_has_no_relief_of_the_diameter() -> None:
    small = {"nps": "1/2", "schedule": "40", "od_mm": D("21.3"), "wall_mm": D("2.77")}
    codes = [one.code for one in findings(butt(**small), replace(JOB, welders_edition="current"), people())]
    assert "welder-not-qualified" in codes


def test_the_range_shown_follows_the_edition() -> None:
    assert "P-15" in qualification_range(qualification()).p_numbers
    assert "P-15" not in qualification_range(qualification(), edition="2010").p_numbers
