"""Test pressures in every unit, by hand from 345."""

from decimal import Decimal

import pytest

from rules.compute import compute
from rules.leak_test import UNITS, leak_test

D = Decimal
# 345.5.2 and 345.8: 50 psi or 345 kPa; 15 psi or 105 kPa; preliminary 25 psi or 170 kPa.
RELIEF = {"psi": D(50), "kPa": D(345), "bar": D("3.45"), "MPa": D("0.345")}
SENSITIVE = {"psi": D(15), "kPa": D(105), "bar": D("1.05"), "MPa": D("0.105")}
FIRST = {"psi": "25 psi", "kPa": "170 kPa", "bar": "1.7 bar", "MPa": "0.17 MPa"}


@pytest.mark.parametrize("unit", UNITS)
def test_flat_limits_in_each_unit(unit: str) -> None:
    high = leak_test("pneumatic", D(100000), unit)
    assert high.relief is not None and high.relief - high.pressure == RELIEF[unit]
    assert high.notes[1].startswith(f"Preliminary check at {FIRST[unit]};")
    assert leak_test("sensitive", D(100000), unit).pressure == SENSITIVE[unit]


def test_shares_where_they_are_less() -> None:
    low = leak_test("pneumatic", D(100), "psi")
    assert (low.pressure, low.max_pressure, low.relief) == (110, 133, 121)
    assert leak_test("pneumatic", D(20), "psi").notes[1].startswith("Preliminary check at 11 psi")
    assert leak_test("sensitive", D(40), "psi").pressure == 10


def test_the_ratio_of_stresses_is_between_one_and_six_and_a_half() -> None:
    assert leak_test("hydrostatic", D(100), "psi", D(20000), D(10000)).pressure == 300
    assert leak_test("hydrostatic", D(100), "psi", D(20000), D(1000)).pressure == 975
    assert leak_test("hydrostatic", D(100), "psi", D(10000), D(20000)).pressure == 150
    assert leak_test("hydrostatic", D(100), "psi").notes[-1] == "Hold at least 10 minutes."


@pytest.mark.parametrize("wrong", [("hydraulic", D(1), "psi"), ("pneumatic", D(1), "atm"), ("pneumatic", D(0), "psi")])
def test_refuses_what_is_no_test(wrong: tuple[str, Decimal, str]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        leak_test(*wrong)


def test_power_piping_has_figures_of_its_own() -> None:
    # ASME B31.1: hydrostatic 1.5 P, pneumatic 1.2 to 1.5 P, 10 minutes.
    hydro = leak_test("hydrostatic", D(200), "psi", code="B31.1")
    assert (hydro.pressure, hydro.max_pressure, str(hydro.source)) == (300, None, "ASME B31.1")
    air = leak_test("pneumatic", D(200), "psi", code="B31.1")
    assert (air.pressure, air.max_pressure, air.relief) == (240, 300, None)
    capped = "The greatest is also limited by 90 % of the yield strength at test temperature, of the hoop stress"
    assert air.notes == (f"{capped} (102.3.3(B), from memory).", "Hold at least 10 minutes.") == hydro.notes
    with pytest.raises(ValueError, match="accepted are hydrostatic, pneumatic"):
        leak_test("sensitive", D(200), "psi", code="B31.1")
    with pytest.raises(ValueError, match=r"belongs to B31\.3"):
        leak_test("hydrostatic", D(200), "psi", D(20000), D(18000), "B31.1")
    with pytest.raises(ValueError, match=r"accepted are B31\.3, B31\.1"):
        leak_test("hydrostatic", D(200), "psi", code="B31.9")


def test_the_calculator_takes_the_code() -> None:
    asked = {"kind": "pneumatic", "design": "100 psi"}
    assert compute("test-pressure", asked | {"code": "B31.1"})["result"]["pressure"] == 120
    assert compute("test-pressure", asked)["result"]["pressure"] == 110
