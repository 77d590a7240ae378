"""Test pressures in every unit, by hand from 345."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.calculators.asked import ComputeError
from rules.compute import compute
from rules.leak_test import UNITS, Stressed, leak_test
from rules.pipe import pipe
from rules.units import KSI_IN_MPA

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
    capped = (
        "The stress is also limited to 90 % of yield (102.3.3(B), from memory): not computed without a pipe and its"
    )
    assert air.notes == (f"{capped} yield.", "Hold at least 10 minutes.") == hydro.notes
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


# NPS 2 Schedule 40: 60.3 x 3.91 mm, 2-3/8 x 0.154 in (ASME B36.10M). Barlow's formula, P = 2 S t / D, by hand: at a yield of
# 240 MPa it is 31.1244 MPa, at 35 ksi 4538.947 psi.
TWO_INCH = pipe("2", "40")


def test_water_may_go_lower_where_yield_would_be_reached() -> None:
    # ASME B31.3 345.4.2(c): the pressure may be reduced so that the stress does not exceed yield.
    stressed = Stressed(TWO_INCH, 35 * KSI_IN_MPA)
    within = leak_test("hydrostatic", D(3000), "psi", stressed=stressed)
    assert within.pressure == 4500 and within.max_pressure == pytest.approx(D("4538.947"), abs=D("0.001"))
    over = leak_test("hydrostatic", D(3100), "psi", stressed=stressed)
    assert over.pressure == over.max_pressure == within.max_pressure
    assert over.steps[1:] == (
        "100 % of yield: 1 x 35 ksi x 2 x 0.154 / 2-3/8 = 4538.95 psi",
        "4650.00 is over it: the pressure may be lowered to 4538.95 psi",
    )
    assert ("pipe", "2, 50, 40") in over.source.tables


@pytest.mark.parametrize(("unit", "times"), [("kPa", 1000), ("bar", 10), ("MPa", 1)])
def test_gas_is_held_to_nine_tenths_of_yield(unit: str, times: int) -> None:
    # ASME B31.3 345.5.4 (from memory): the lesser of 1.33 P and 90 % of yield, 28.0119 MPa.
    stressed, cap = Stressed(TWO_INCH, D(240)), D("28.01194") * times
    low = leak_test("pneumatic", D(10) * times, unit, stressed=stressed)
    assert low.max_pressure == D("13.3") * times
    near = leak_test("pneumatic", D(22) * times, unit, stressed=stressed)
    assert near.max_pressure == pytest.approx(cap, abs=D("0.00001") * times)
    over = leak_test("pneumatic", D(26) * times, unit, stressed=stressed)
    assert over.pressure is over.relief is None and over.max_pressure == near.max_pressure
    assert over.notes[0].startswith(f"The least test pressure, {D('28.6') * times:.2f} {unit}, is over")
    assert "no pressure satisfies both" in over.notes[0]


def test_power_piping_is_held_to_nine_tenths_of_yield() -> None:
    # ASME B31.1 102.3.3(B), from memory: 0.9 x 240 MPa x 2 x 3.91 / 60.3 = 280.119 bar.
    found = leak_test("hydrostatic", D(300), "bar", code="B31.1", stressed=Stressed(TWO_INCH, D(240)))
    assert found.pressure is None and found.max_pressure == pytest.approx(D("280.1194"), abs=D("0.0001"))
    assert "no pressure satisfies both" in found.notes[0]
    assert "102.3.3(B), from memory" in found.steps[-1]


def test_a_sensitive_test_reaches_no_yield() -> None:
    plain = leak_test("sensitive", D(300), "bar")
    weak = leak_test("sensitive", D(300), "bar", stressed=Stressed(TWO_INCH, D(1)))
    assert weak.pressure == plain.pressure and weak.source.tables == plain.source.tables
    assert weak.notes == (
        "A sensitive test asks nothing of the yield strength: the pipe plays no part.", *plain.notes
    )  # fmt: skip


def test_a_relief_over_the_yield_limit_is_held_to_it() -> None:
    # 1.1 x 3700 psi = 4070 psi and 50 psi on it; 90 % of 4538.947 psi = 4085.05 psi.
    stressed = Stressed(TWO_INCH, 35 * KSI_IN_MPA)
    found = leak_test("pneumatic", D(3700), "psi", stressed=stressed)
    assert found.relief == pytest.approx(D("4085.05"), abs=D("0.01"))
    assert found.steps[-1] == "relief: 4120.00 is over the yield limit, so at most 4085.05 psi"
    # 1.1 x 3668 psi + 50 psi = 4084.8 psi.
    within = leak_test("pneumatic", D(3668), "psi", stressed=stressed)
    assert within.relief == D("4084.8") and not any("over the yield" in step for step in within.steps)


def test_water_is_limited_by_the_components_too() -> None:
    rated = "The ratings of valves, flanges and other components limit the test pressure too (from memory)."
    assert leak_test("hydrostatic", D(100), "psi").notes.count(rated) == 1
    assert rated not in leak_test("pneumatic", D(100), "psi").notes


def test_the_calculator_gives_no_pressure_where_none_satisfies_both() -> None:
    asked = {"kind": "pneumatic", "design": "3800 psi", "nps": "2", "schedule": "40", "yield": "35 ksi"}
    result = compute("test-pressure", asked)["result"]
    assert result["pressure"] is result["relief"] is None and result["max_pressure"] == pytest.approx(4085.05, abs=0.01)


@given(
    st.decimals("1", "20000", places=1),
    st.decimals("1", "900", places=1),
    st.sampled_from(["hydrostatic", "pneumatic"]),
)
def test_a_stronger_pipe_never_allows_less(design: D, strength: D, kind: str) -> None:
    weak, strong = (
        leak_test(kind, design, "kPa", stressed=Stressed(TWO_INCH, one)) for one in (strength, strength + 1)
    )
    assert (weak.max_pressure or 0) <= (strong.max_pressure or 0)
    assert weak.pressure is None or (strong.pressure is not None and weak.pressure <= strong.pressure)


@pytest.mark.parametrize("gone", ["nps", "schedule", "yield"])
def test_pipe_and_yield_are_given_together(gone: str) -> None:
    whole = {"kind": "hydrostatic", "design": "150 psi", "nps": "2", "schedule": "40", "yield": "35 ksi"}
    assert compute("test-pressure", whole)["result"]["max_pressure"] == pytest.approx(4538.947, abs=0.001)
    with pytest.raises(ComputeError, match="go together") as refused:
        compute("test-pressure", {key: value for key, value in whole.items() if key != gone})
    assert refused.value.faults[0].field == gone
