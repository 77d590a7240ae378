"""What a procedure lacks against the code, one variable at a time; by hand from Tables 330.1.1, 331.1.1 and 331.1.3."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from rules.against_code import Asked, short_of
from rules.compute import compute
from rules.facts import ProcedureFacts, ProcedurePassFacts
from rules.units import SI, US

D = Decimal
THICK = Asked("2018", D(30), ("1",), SI)
WPS = ProcedureFacts(
    "W-1",
    "0",
    ("1",),
    (),
    ("SMAW",),
    passes=(ProcedurePassFacts("root", "SMAW", "E7018"),),
    deposit_max_mm=D(20),
    progression="up",
    preheat_min_c=D(95),
    pwht="no",
)


def variables(procedure: ProcedureFacts = WPS, **changes: Any) -> list[str]:
    """The variables in which the procedure is short, for the thick joint changed so."""
    return [one.variable for one in short_of(procedure, replace(THICK, **changes))]


def test_a_procedure_that_is_enough_lacks_nothing() -> None:
    assert variables() == []


@pytest.mark.parametrize(
    ("variable", "changes"),
    [
        ("progression", {"progression": "down"}),
        ("filler", {"filler": "E6010"}),
        ("deposit thickness", {"deposit_mm": D("20.1")}),
        ("preheat", {"carbon": D("0.31"), "p_numbers": ("1",), "thickness_mm": D(30), "edition": "2014"}),
        ("heat treatment", {"several_layers": False}),
    ],
)
def test_one_variable_short_is_named(variable: str, changes: dict[str, Any]) -> None:
    # Carbon over 0.30 asks for 95 °C: a procedure of 90 °C is short of it, and of the exemption from heat treatment.
    wps = replace(WPS, preheat_min_c=D(90)) if variable == "preheat" else WPS
    assert variable in variables(wps, **changes)


def test_p_4_needs_its_preheat_and_heat_treatment() -> None:
    # 120 °C for P-4; groove over 16 mm is not exempt: 650 to 705 °C.
    found = short_of(replace(WPS, preheat_min_c=D(95)), replace(THICK, p_numbers=("4",), thickness_mm=D(17)))
    assert [str(one) for one in found] == [
        "preheat 95 °C, at least 120 °C (ASME B31.3-2018 Table 330.1.1)",
        "heat treatment none, P-4 asks for 650 °C to 705 °C (ASME B31.3-2018 Tables 331.1.1 and 331.1.3)",
    ]


def test_a_us_job_is_held_to_the_us_figures() -> None:
    # 1 in is not over 1 in, though 25.4 mm is over 25 mm: no preheat of 200 °F is needed for the exemption.
    inch = replace(THICK, thickness_mm=D("25.4"), units=US)
    assert short_of(replace(WPS, preheat_min_c=D(10)), inch) == ()
    assert [one.variable for one in short_of(replace(WPS, preheat_min_c=D(10)), replace(inch, units=SI))] == [
        "heat treatment"
    ]


def test_what_is_not_said_is_not_judged() -> None:
    silent = replace(WPS, preheat_min_c=None, pwht="", progression="", passes=(), deposit_max_mm=None)
    assert variables(silent, progression="down", filler="E6010", deposit_mm=D(50), p_numbers=("4",)) == []
    assert variables(edition="1999", p_numbers=("4",)) == []


def test_the_calculator_tells_every_reason() -> None:
    ask = {
        "joint_kind": "butt",
        "nps": "4",
        "schedule": "80",
        "p": "8",
        "position": "2G",
        "filler": "ER308L",
        "wps_p": "1",
        "wps_positions": "5G",
        "wps_fillers": "ER70S-6",
        "wps_thickness_max": "8 mm",
        "wps_od_min": "120 mm",
        "wps_kinds": "socket",
    }
    told = compute("procedure-check", ask)["result"]
    assert told["applicable"] is False
    assert [one.split()[0] for one in told["reasons"]] == ["base", "base", "outside", "joint", "position", "filler"]
