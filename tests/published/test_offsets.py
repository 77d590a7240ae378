"""Simple and rolling offsets against the trade's trigonometry, as pipe-fitting handbooks give it.

Travel = set x 1.414 at 45°, x 1.155 at 60°, x 2.000 at 30°, x 2.613 at 22.5°; advance = set x 1.000, 0.577, 1.732, 2.414;
a rolling offset's true offset = sqrt(set² + roll²). The factors are those of handbooks, printed to three decimals.
"""

from decimal import Decimal as D
from math import sqrt

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting

FACTORS = [("45", 1.414, 1.000), ("60", 1.155, 0.577), ("30", 2.000, 1.732), ("22.5", 2.613, 2.414)]
SETTING = Setting("2", "40")


def offset(degrees: str, moves: str):
    shape = shape_of_text(f"ends butt\nrun north 1000\noffset {degrees} {moves}\nrun north 1000\nopen end", SETTING)
    assert not shape.faults
    return shape


@pytest.mark.parametrize(("degrees", "travel", "advance"), FACTORS)
def test_simple_offset(degrees, travel, advance):
    shape = offset(degrees, "up 400")
    first, last = (next(one for one in shape.nodes if one.number == number).at for number in (2, 3))
    assert float(shape.pipes[1].centre_mm) / 400 == pytest.approx(travel, abs=6e-4)
    assert float((last - first).north) / 400 == pytest.approx(advance, abs=6e-4)


# Set, roll and true offset: Pythagorean triangles, worked by hand.
@pytest.mark.parametrize(("set_mm", "roll_mm", "true_mm"), [(300, 400, 500), (250, 600, 650), (280, 450, 530)])
def test_rolling_offset(set_mm, roll_mm, true_mm):
    shape = offset("45", f"up {set_mm} east {roll_mm}")
    travel = shape.pipes[1]
    assert float(travel.centre_mm) == pytest.approx(true_mm * 1.414, rel=3e-4)
    assert float(travel.centre_mm) == pytest.approx(true_mm * sqrt(2), abs=1e-9)
    first, last = shape.nodes[1].at, shape.nodes[2].at
    assert (last - first).up == pytest.approx(D(set_mm), abs=D("1e-18"))
    assert (last - first).east == pytest.approx(D(roll_mm), abs=D("1e-18"))
    assert (last - first).north == pytest.approx(D(true_mm), abs=D("1e-18"))


def test_inch_offset_of_a_handbook():
    # Set 12 in by 45°: travel 12 x 1.414 = 16.97 in, called out as 1' 5" to the nearest 1/16 (16.9706 -> 17 in).
    setting = Setting("2", "40", units="US", socket_gap_mm=D("1.5875"))
    shape = shape_of_text("ends butt\nrun north 4'\noffset 45 up 12\nrun north 4'\nopen end", setting)
    assert float(shape.pipes[1].centre_mm) / 25.4 == pytest.approx(16.968, abs=3e-3)
    assert next(one.text for one in shape.dimensions if one.start == shape.nodes[1].at) == "1' 5\""
