"""The isometric projection: three axes at 120 degrees, seen from above and never mirrored."""

from itertools import permutations
from math import atan2, degrees, hypot

import pytest

from reports.isometric.layout import Layout
from reports.isometric.projection import AXES, along, nearness, project
from tests.reports.isometric.walks import walk


def heading(x: float, y: float) -> float:
    """Degrees counter-clockwise from the right, as a draughtsman measures; y of the sheet runs down."""
    return degrees(atan2(-y, x)) % 360


def test_the_axes_stand_at_the_angles_of_iso_5456_3() -> None:
    east, north, up = (heading(*project(axis)) for axis in AXES)
    assert east == pytest.approx(330, abs=1e-9)
    assert north == pytest.approx(30, abs=1e-9)
    assert up == pytest.approx(90, abs=1e-9)


def test_lengths_along_the_axes_are_unchanged() -> None:
    assert [hypot(*project(axis)) for axis in AXES] == pytest.approx([1, 1, 1], abs=1e-12)


def test_the_picture_is_right_handed() -> None:
    """Seen from above, the shorter turn from east to north is counter-clockwise, and up points up on the sheet."""
    (ex, ey), (nx, ny), (ux, uy) = (project(axis) for axis in AXES)
    assert ex * -ny - -ey * nx > 0
    assert uy < 0 and ux == 0
    # East, north and up follow each other counter-clockwise around the eye's axis, as in any right-handed frame.
    turns = [(heading(*project(AXES[b])) - heading(*project(AXES[a]))) % 360 for a, b in ((0, 1), (1, 2), (2, 0))]
    assert sum(turns) == pytest.approx(360)


def test_the_eye_is_to_the_south_east_and_above() -> None:
    assert nearness((1, 0, 0)) > 0 > nearness((0, 1, 0))
    assert nearness((0, 0, 1)) > 0
    # What lies on one line of sight falls on one point.
    assert project((1, -1, 1)) == pytest.approx((0, 0), abs=1e-12)


@pytest.mark.parametrize("seed", range(20))
def test_every_run_along_an_axis_is_drawn_along_it_and_keeps_its_sense(seed: int) -> None:
    made = walk(40, seed, skew=0.3)
    layout = Layout(made.legs, made.dimensions, 1.0)
    for leg in made.legs:
        axis = along(leg.start, leg.end)
        if axis is None:
            continue
        (x1, y1), (x2, y2) = project(layout.place(leg.start)), project(layout.place(leg.end))
        sense = 1 if leg.end[axis] > leg.start[axis] else -1
        wanted = heading(*(part * sense for part in project(AXES[axis])))
        assert (heading(x2 - x1, y2 - y1) - wanted + 180) % 360 - 180 == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_the_order_along_every_axis_is_kept(seed: int) -> None:
    made = walk(30, seed, skew=0.0)
    layout = Layout(made.legs, made.dimensions, 1.0)
    places = [place for leg in made.legs for place in (leg.start, leg.end)]
    for one, other in permutations(places[::3], 2):
        for axis in range(3):
            if one[axis] - other[axis] > 0.02:
                assert layout.place(one)[axis] > layout.place(other)[axis]


def test_a_skew_run_stays_straight() -> None:
    made = walk(30, 3, skew=1.0)
    layout = Layout(made.legs, made.dimensions, 1.0)
    skew = [leg for leg in made.legs if along(leg.start, leg.end) is None]
    assert len(skew) >= 3
    for one, other in zip(skew, skew[1:], strict=False):
        if one.end == other.start:
            first, second = (
                heading(
                    *(
                        b - a
                        for a, b in zip(project(layout.place(leg.start)), project(layout.place(leg.end)), strict=True)
                    )
                )
                for leg in (one, other)
            )
            assert first == pytest.approx(second, abs=1e-6)
