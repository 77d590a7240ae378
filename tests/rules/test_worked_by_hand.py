"""The results of each calculator's example by the published formula, written out here apart from the code.

Figures of standards are typed in again beside their source; fractions are exact, units are Pint's, and nothing is taken
from `rules` but the answer. worked.csv keeps the words of the same examples.
"""

import math
from collections.abc import Mapping
from datetime import date
from fractions import Fraction as F
from typing import Any

import pint
import pytest
from dateutil.relativedelta import relativedelta

from rules.compute import compute
from tests.rules.test_worked import ROWS

INCH = F(254, 10)
PINT = pint.UnitRegistry()
BOTH = ("US", "SI")


def mm(us: str, si: str) -> dict[str, F]:
    """A figure of a standard by unit system, in mm: inches as its US table has them, and the metric table's own."""
    return {"US": F(us) * INCH, "SI": F(si)}


def up(value: F, step: F) -> F:
    return math.ceil(value / step) * step


# ASME B36.10M: NPS 1 Schedule 80, NPS 1-1/2 Schedule 80, NPS 2 Schedule 40, NPS 4 Schedule 40.
OD_1, WALL_1 = mm("1.315", "33.4"), mm("0.179", "4.55")
OD_1H, WALL_1H = mm("1.9", "48.3"), mm("0.2", "5.08")
OD_2, WALL_2 = mm("2.375", "60.3"), mm("0.154", "3.91")
OD_4, WALL_4 = mm("4.5", "114.3"), mm("0.237", "6.02")
# ASME B16.11, NPS 1 Class 3000: depth of the socket, centre to its bottom of elbow and tee, tolerance of that.
DEPTH, CENTRE, CENTRE_OUT = mm("0.5", "12.5"), mm("0.88", "22.5"), mm("0.08", "2")
GAP = INCH / 16
RULE = {"US": INCH / 32, "SI": F(1, 2)}  # what one reads off a rule
# Of steel 7850 kg/m³, which is 0.2836 lb/in³; a tenth of GTAW wire is lost (common practice, no source).
DENSITY = PINT.Quantity(7850, "kg / m ** 3").to("kg / mm ** 3").magnitude
WIRE = 0.90


def fahrenheit(degrees: float) -> float:
    return float(PINT.Quantity(degrees, "degF").to("degC").magnitude)


def of_a_fillet(units: str) -> dict[str, float]:
    """Twelve fillets of 6 mm: half the square of the leg, round its centre of gravity a third out (Pappus)."""
    area, round_it = 6 * 6 / 2, math.pi * (float(OD_1[units]) + 2 * 6 / 3)
    deposited = 12 * area * round_it * DENSITY
    return {"deposited_kg": deposited, "filler_kg": deposited / WIRE}


def of_a_groove(units: str) -> dict[str, float]:
    """A 60° groove with a land, its root opening, and a cap that is a parabola: two thirds of width by height."""
    wall, opening, land, cap, half = float(WALL_4[units]), 3, 1.5, 1.5, math.radians(30)
    width = opening + 2 * (wall - land) * math.tan(half)
    area = opening * wall + (wall - land) ** 2 * math.tan(half) + 2 / 3 * width * cap
    deposited = area * math.pi * (float(OD_4[units]) - wall) * DENSITY
    return {"deposited_kg": deposited, "filler_kg": deposited / WIRE}


def of_insertion(units: str) -> dict[str, F]:
    """Bottom the pipe, back off the gap; the mark clears depth, and insertion with the leg of 1.09 walls."""
    insertion, leg = DEPTH[units] - GAP, F("1.09") * WALL_1[units]
    mark = up(max(DEPTH[units], insertion + leg), RULE[units])
    return {
        "depth_mm": DEPTH[units], "insertion_mm": insertion, "mark_mm": mark,
        "mark_bottomed_mm": mark - DEPTH[units], "mark_backed_off_mm": mark - insertion,
    }  # fmt: skip


def of_growth_in_a_socket(units: str) -> dict[str, Any]:
    """ASME B31.3 Table C-1, older edition: carbon steel grows 1.82 in per 100 ft from 70 °F to 300 °F."""
    pipe = (DEPTH[units] - F("1.5")) * F("1.82") / 1200
    return {
        "pipe_growth_mm": pipe, "socket_growth_mm": 0, "closing_mm": pipe, "left_mm": F("1.5") - pipe, "touches": False,
    }  # fmt: skip


def of_a_leg(units: str) -> dict[str, Any]:
    """ASME B31.3 Fig. 328.5.2C: 1.09 walls; an equal-legged fillet's throat is leg / sqrt 2."""
    leg = F("1.09") * WALL_1[units]
    return {"leg_mm": leg, "throat_mm": float(leg) / math.sqrt(2), "governs": "pipe wall"}


def by_units(us: Any, si: Any) -> dict[str, Any]:
    return {"US": us, "SI": si}


# Examples by calculator, in the order in which worked.csv has them.
ALL = "all positions"
EVERYWHERE = dict.fromkeys(
    ("fillet under 73 mm", "fillet from 73 mm", "groove under 73 mm", "groove 73 to 610 mm",
     "groove over 610 mm and plate"), ALL,
)  # fmt: skip
BY_HAND: Mapping[str, list[dict[str, Mapping[str, Any]]]] = {
    "pipe": [{units: {"od_mm": OD_1H[units], "wall_mm": WALL_1H[units]} for units in BOTH}],
    "cut-length": [{
        units: {
            "length_mm": 500 - 2 * CENTRE[units] - 2 * GAP, "takeout1_mm": CENTRE[units], "takeout2_mm": CENTRE[units],
            "insertion_mm": DEPTH[units] - GAP,
        } for units in BOTH
    }],
    "tolerance-stack": [{units: {"tolerance_mm": 2 * CENTRE_OUT[units]} for units in BOTH}],
    "diameter-inches": [dict.fromkeys(BOTH, {"diameter_inches": 12 * F(3, 2) + 4 * 2, "joints": 12 + 4})],
    # Common practice: a layer of 1/8 in, or 3 mm, by SMAW.
    "least-passes": [by_units({"passes": math.ceil(12 / (INCH / 8))}, {"passes": math.ceil(F(12) / 3)})],
    # 12 to 4:30 and 4:30 to 9 are each four and a half hours of 30°.
    "stop-spacing": [{
        units: {"apart_degrees": 135, "apart_mm": math.pi * float(OD_2[units]) * 135 / 360, "stacked": False}
        for units in BOTH
    }],
    "filler-needed": [{units: of_a_fillet(units) for units in BOTH}, {units: of_a_groove(units) for units in BOTH}],
    "procedure-check": [dict.fromkeys(BOTH, {"applicable": True, "reasons": []})],
    # 5 % of 61 is 3.05, so four; each welder one, the rest to whoever has most.
    "sample-size": [dict.fromkeys(BOTH, {"size": math.ceil(61 * F(5, 100)), "of": {"A1": 3, "B2": 1}})],
    # ASME B31.3 344.4.2: 3 mm is under 5 mm (3/16 in), and two in a line are fewer than four.
    "surface-indications": [dict.fromkeys(BOTH, {"accepted": True, "reasons": []})],
    "insertion": [{units: of_insertion(units) for units in BOTH}],
    # ASME B31.3 Fig. 328.5.2C: about 1/16 in (1.5 mm).
    "gap": [{
        units: {"used": "owner", "least_mm": F("1.5"), "greatest_mm": 3, "code_mm": code, "accepted": True}
        for units, code in (("US", GAP), ("SI", F("1.5")))
    }],
    # Mean 2; across 12 and 6 the pipe leans by 2 on its diameter, across 3 and 9 not at all.
    "gap-round": [dict.fromkeys(BOTH, {"least_mm": 2 - 1, "greatest_mm": 2 + 1, "out_of_square_mm": 2})],
    "crooked-cut": [dict.fromkeys(BOTH, {"least_mm": F("1.5"), "greatest_mm": F("2.5"), "out_of_square_mm": 1})],
    "squareness": [dict.fromkeys(BOTH, {"square": False, "difference_mm": 1})],
    "socket-growth": [{units: of_growth_in_a_socket(units) for units in BOTH}],
    "thermal-growth": [dict.fromkeys(BOTH, {"growth_mm": 10_000 * F("1.82") / 1200})],
    "socket-leg": [{units: of_a_leg(units) for units in BOTH}],
    # ASME B31.3 Fig. 328.5.2B: 1.4 walls (5.5 mm) but not over the hub, 5 mm.
    "flange-leg": [{units: {"leg_mm": min(F("1.4") * WALL_2[units], F(5))} for units in BOTH}],
    # The height of a triangle of 6 and 8 on its hypotenuse of 10; its size is the shorter leg.
    "throat": [dict.fromkeys(BOTH, {"throat_mm": F(6 * 8, 10), "size_mm": 6})],
    # ASME IX QW-409.1(a): volts x amps x 60 / travel; EN 1011-1: k = 0.6 of GTAW.
    "heat-input": [dict.fromkeys(BOTH, {
        "arc_energy": F(12 * 110 * 60, 80 * 1000), "heat_input": F(12 * 110 * 60, 80 * 1000) * F("0.6"),
    })],
    # ASME B31.3 Table 330.1.1 (2018): P-4, 250 °F or 120 °C.
    "preheat": [by_units({"preheat_c": fahrenheit(250), "required": True}, {"preheat_c": 120, "required": True})],
    # ASME IX QW-452.3: NPS 1 to 2-1/2 qualify from 1 in (25 mm); QW-452.1(b): 2t; QW-461.9: 6G is every position.
    "welder-range": [{
        units: {"min_od_mm": least, "max_deposit_mm": 2 * F("5.5"), "positions": EVERYWHERE, "qualified": True,
                "reasons": []}
        for units, least in (("US", INCH), ("SI", F(25)))
    }],
    # ASME IX QW-322.1(a): six months from 31 March end with September.
    "continuity": [dict.fromkeys(BOTH, {
        "expires": (date(2026, 3, 31) + relativedelta(months=6)).isoformat(), "alive": True,
    })],
    # ASME B31.3 Table 341.3.2, criterion H: the smaller of 1/32 in (1 mm) and a quarter of the wall.
    "imperfection-limit": [{
        units: {"letter": "H", "limit_mm": min(flat, F("6.02") / 4), "accepted": True}
        for units, flat in (("US", INCH / 32), ("SI", F(1)))
    }],
    # ASME B31.3 341.4.1: 5 % of 100 girth welds, and of all 120 by eye.
    "examination-extent": [dict.fromkeys(BOTH, {"rt": 5, "vt": 6, "surface": 0})],
    # ASME B31.3 341.3.4: two for the reject; one of those fails, so two more; both defective ones are repaired.
    "progressive": [dict.fromkeys(BOTH, {"state": "two-more", "due_now": 2, "extra_total": 4, "repairs": 2})],
    # ASTM A106 Gr B: C to 0.30, Mn 0.29 to 1.06, P and S to 0.035 %, tensile from 60 ksi (415 MPa).
    "certificate-check": [dict.fromkeys(BOTH, {"passed": True, "faults": []})],
    "carbon-equivalent": [dict.fromkeys(BOTH, {
        "ce": F("0.22") + F("0.95") / 6, "pcm": F("0.22") + F("0.25") / 30 + F("0.95") / 20,
    })],
    # ASME B31.3 345.4.2(b): 1.5 P ST / S.
    "test-pressure": [dict.fromkeys(BOTH, {
        "pressure": F("1.5") * 150 * F(20000, 18000), "max_pressure": None, "relief": None,
    })],
    # ASME B31.3 Table 331.1.1 (2018), P-4: 1200 to 1300 °F for 1 h/in, 650 to 705 °C for 2.4 min/mm.
    "heat-treatment": [by_units(
        {"required": True, "min_c": fahrenheit(1200), "max_c": fahrenheit(1300), "hold_h": F(20) / INCH},
        {"required": True, "min_c": 650, "max_c": 705, "hold_h": 20 * F("2.4") / 60},
    )],
}  # fmt: skip


def examples() -> list[tuple[str, str, dict[str, str], Mapping[str, Any]]]:
    """Each example of worked.csv beside what it comes to by hand."""
    seen: dict[tuple[str, str], int] = {}
    found = []
    for row in ROWS:
        name, units = row["calculator"], row["units"]
        place = seen[name, units] = seen.get((name, units), -1) + 1
        given = dict(one.split("=", 1) for one in row["given"].split("; "))
        found.append((name, units, given, BY_HAND[name][place][units]))
    return found


@pytest.mark.parametrize(("name", "units", "given", "wanted"), examples(), ids=lambda one: str(one)[:24])
def test_an_example_comes_to_what_it_does_by_hand(
    name: str, units: str, given: dict[str, str], wanted: Mapping[str, Any]
) -> None:
    result = compute(name, given, units=units)["result"]
    assert set(result) == set(wanted)
    for key, value in wanted.items():
        told = result[key]
        if isinstance(value, F | int | float) and not isinstance(value, bool):
            # The code rounds to a millionth, temperatures to a ten-thousandth.
            assert float(told) == pytest.approx(float(value), abs=6e-5 if key.endswith("_c") else 6e-7), key
        else:
            assert told == value, key
