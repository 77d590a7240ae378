"""Thermal growth in both unit systems, and a little below the older table, by hand."""

from decimal import Decimal

import pytest

from rules.compute import compute
from rules.growth import growth, in_socket
from rules.units import SI, US

D = Decimal


def test_twenty_degrees_celsius_is_answered_by_the_older_table() -> None:
    # 68 °F: 2 °F of the first interval's 0.23 in per 100 ft in 30 °F; to 200 °F 0.99: (0.99 + 2 x 0.23 / 30) / 1200.
    found = growth("carbon", D(20), D("93.3333"), D(10000))
    assert float(found.value) == pytest.approx((0.99 + 2 * 0.23 / 30) / 1200 * 10000, abs=0.001)
    assert found.notes == (
        "The table begins at 21.1 °C: below it the growth from 21.1 °C to 37.8 °C is carried on in a straight line, "
        "an assumption and no figure of the code.",
    )
    assert growth("carbon", D("21.1111"), D("93.3333"), D(10000)).notes == ()


def test_a_cooled_pipe_shrinks_below_the_table_too() -> None:
    # Austenitic: 0.34 in per 100 ft in 30 °F, from 70 down to 50 °F.
    found = growth("austenitic", D("21.1111"), D(10), D(1000), units=US)
    assert float(found.value) == pytest.approx(-20 * 0.34 / 30 / 1200 * 1000, abs=0.0001)
    assert found.notes[0].startswith("The table begins at 70 °F")


@pytest.mark.parametrize(
    ("start", "units", "told"),
    [
        ("39.9", US, "39.9 °F is outside the table; accepted are 40 °F to 800 °F."),
        ("39.2", SI, "4 °C is outside the table; accepted are 4.4 °C to 426.7 °C."),
    ],
)
def test_refuses_what_lies_further_below_than_the_first_interval_is_wide(start: str, units: str, told: str) -> None:
    celsius = (D(start) - 32) * 5 / 9
    with pytest.raises(ValueError, match=told):
        growth("carbon", celsius, D(100), D(1000), units=units)


def test_the_newer_table_reaches_down_and_carries_nothing_on() -> None:
    # 20 °C = 68 °F lies between -50 (6.2) and 70 °F (6.4): no assumption is needed.
    assert growth("carbon", D(20), D("93.3333"), D(1000), "newer").notes == ()
    with pytest.raises(ValueError, match="accepted are -50 °F to 400 °F"):
        growth("carbon", D(-46), D(100), D(1000), "newer", US)


def test_the_steps_are_written_in_the_jobs_units() -> None:
    # Carbon 70 to 300 °F: 1.82 in per 100 ft = 1.5167 mm per m. 100 in grow 0.1517 in; 10 m grow 15.17 mm.
    assert growth("carbon", D("21.1111"), D("148.8889"), D(2540), units=US).steps == (
        "100 in x 1.820 in per 100 ft (70 °F to 300 °F) / 1200 = 0.1517 in",
    )
    assert growth("carbon", D("21.1111"), D("148.8889"), D(10000)).steps == (
        "10000 mm x 1.5167 mm per m (21.1 °C to 148.9 °C) / 1000 = 15.17 mm",
    )


def test_growth_inside_a_socket_is_told_in_inches_and_with_its_assumption_once() -> None:
    # 7/16 in of pipe, 68 to 300 °F: 7/16 x (1.82 + 2 x 0.23 / 30) / 1200 = 0.00067 in of a gap of 1/16 in.
    found = in_socket("carbon", "carbon", D(20), D("148.8889"), D(20), D("12.7"), D("1.5875"), units=US)
    assert found.steps[0].startswith("pipe: 7/16 in x ") and found.steps[0].endswith(" = 0.0007 in")
    assert found.steps[-1] == "gap 1/16 - (0.0007 - 0.0000) = 0.0618 in left"
    assert len(found.notes) == 1


def test_calculators_say_the_assumption_and_answer_a_metric_start() -> None:
    asked = {"material": "carbon", "from": "20 C", "to": "100 C", "length": "10 m"}
    assert "assumption" in compute("thermal-growth", asked)["notes"][0]
    asked = {"nps": "1", "class": "3000", "material": "carbon", "from": "20 C", "to": "100 C"}
    assert any("assumption" in one for one in compute("socket-growth", asked)["notes"])
