"""The figures that findings and requirements tell, from what was recorded: exact fractions and Pint, apart from the code."""

from fractions import Fraction as F

import pint
import pytest

from rules.judge import requirements
from tests.rules.cast import JOB, planned
from tests.rules.test_findings import ON
from tests.rules.test_findings_tell import first

PINT = pint.UnitRegistry()


def inch(mm: str) -> F:
    return F(mm) / F(254, 10)


def fahrenheit(celsius: str) -> F:
    return F(celsius) * 9 / 5 + 32


def per_inch(kj_per_mm: F) -> F:
    return kj_per_mm * F(254, 10)


# What was recorded in each case of test_findings.ON, and the limit of the procedure or of the standard beside it.
FIGURES: dict[str, tuple[F, F]] = {
    "a gap under the least": (inch("0.79375"), F(1, 16)),
    "a gap over the greatest": (inch("4.7625"), F(1, 8)),
    "one of four readings too wide": (inch("4.7"), F(1, 8)),
    "the least of four readings too narrow": (inch("1"), F(1, 16)),
    "squareness as given": (inch("1.6"), F(1, 16)),
    "squareness from four readings": (inch("3") - inch("1.6"), inch("1")),
    "high-low": (inch("2"), F(1, 16)),
    "too many amps": (F(151), F(150)),
    "too few amps": (F(89), F(90)),
    "too little preheat": (fahrenheit("9.9"), fahrenheit("10")),
    "too hot between passes": (fahrenheit("177"), F(350)),
    # Volts by amps by 60 over the travel (QW-409.1): 12 V, 120 A, 57 mm/min.
    "too much heat input": (per_inch(F(12 * 120 * 60, 57 * 1000)), per_inch(F("1.5"))),
    "one pass too few": (F(3), F(4)),
    # The short way round the dial: 120 from 100 degrees, and 340 from 0.
    "starts on top of each other": (F(120 - 100), F(30)),
    "stops on top of each other across twelve": (F(360 - 340), F(30)),
    # ASME B31.3 Fig. 328.5.2C: 1.09 walls of 0.179 in, up to the next 1/32 in.
    "a leg too small": (inch("4.7625"), F(-(-F("1.09") * F("0.179") * 32 // 1), 32)),
    # Table 341.3.2, criterion H: the smaller of 1/32 in and a quarter of the wall.
    "an undercut too deep": (inch("0.8"), min(F(1, 32), F("0.179") / 4)),
}


def holds(text: str, exact: F) -> bool:
    """Whether a figure as shown is the exact one: a fraction is it, a decimal is it to half of its last place."""
    if "/" in text:
        return F(text) == exact
    places = len(text.partition(".")[2])
    return abs(F(text) - exact) <= F(1, 2 * 10**places)


@pytest.mark.parametrize("change", FIGURES)
def test_a_finding_tells_the_figures_that_were_recorded(change: str) -> None:
    measured, limit = FIGURES[change]
    one = first(ON[change][1]())
    assert holds(one.measured, measured) and holds(one.limit, limit)


def test_each_finding_with_figures_is_reckoned() -> None:
    def is_figure(text: str) -> bool:
        return bool(text) and all(part.replace(".", "", 1).isdigit() for part in text.split("/"))

    told = {change: first(joint()) for change, (_, joint) in ON.items()}
    # A revision is a name, though it may look like a number.
    figures = {change for change, one in told.items() if is_figure(one.measured) and one.code != "superseded-revision"}
    assert figures == set(FIGURES)


# The procedure of tests.rules.cast in the units it is kept in, by the row of a requirement: least and greatest.
ASKED: dict[str, tuple[F | None, F | None]] = {
    "gap": (F(1, 16), F(1, 8)),
    "gap:greatest": (None, F(1, 8)),
    "squareness": (None, F(1, 16)),
    "high-low": (None, F(1, 16)),
    **dict.fromkeys(("amps:root", "amps:fill", "amps:cap"), (F(90), F(150))),
    "preheat": (fahrenheit("10"), None),
    "interpass": (None, fahrenheit("176.6667")),
    "heat-input": (None, F(PINT.Quantity("1.5 kJ/mm").to("kJ/inch").magnitude).limit_denominator(10**6)),
    "passes": (F(2), None),
    "starts-apart": (F(30), None),
    "stops-apart": (F(30), None),
    "leg": (FIGURES["a leg too small"][1], None),
    "undercut": (None, FIGURES["an undercut too deep"][1]),
}


def test_a_requirement_shows_the_figures_of_procedure_and_standard() -> None:
    shown = {one.id: (one.args.get("least"), one.args.get("greatest")) for one in requirements(planned(), JOB)}
    assert {row for row, bounds in shown.items() if any(bounds)} == set(ASKED)
    for row, wanted in ASKED.items():
        for text, exact in zip(shown[row], wanted, strict=True):
            assert bool(text) == (exact is not None), row
            assert exact is None or holds(str(text), exact), row
