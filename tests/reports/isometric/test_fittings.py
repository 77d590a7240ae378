"""Fittings keep their size on the sheet: what an axis has left over goes to the pipes."""

from math import dist

import pytest

from reports.drawing import Polygon
from reports.isometric.drawn import Isometric
from reports.isometric.layout import LENGTHS, Axis, Layout
from reports.isometric.scene import Drawn
from reports.isometric.sheet import sheets
from reports.isometric.symbols import leg_shapes
from reports.isometric.untangle import untangle
from tests.reports.isometric.test_drawings import check
from tests.reports.isometric.test_from_route import drawn, numbered
from tests.reports.isometric.walks import walk

ROOM = (0.0, 0.0, 756.0, 446.0)
BRANCHES = """ends butt
run north 800
olet 1 sch 80 height 30 socket
branch up
run up 300
valve HV-7 length 90 socket
run up 200
open end
end branch
run north 600
olet 2 sch 40 height 45 butt
branch west
run west 700
flange 150
end branch
run north 12000
olet 3/4 sch 80 height 25 socket
branch down
run down 200
open end
end branch
run north 900
olet 1 sch 80 height 33 socket
branch east
run east 260
flange 150
end branch
run north 700
elbow
run up 1500
tee
branch south
run south 900
cap
end branch
run up 900
open end"""
ECCENTRIC = """ends butt
flange 150
run east 1500
reducer eccentric flat {flat} to 3 sch 40
run east 1200
open end"""


def on_sheet(made: Isometric) -> list[Drawn]:
    """The legs as they are drawn on the one sheet that the drawing takes."""
    (sheet,) = sheets(made, ROOM)
    return [sheet.placed.drawn(leg) for leg in made.legs]


def length(one: Drawn) -> float:
    return dist(one.start, one.end)


def test_an_olet_is_no_longer_than_its_symbol_though_the_riser_beside_it_is() -> None:
    legs = on_sheet(drawn(numbered(BRANCHES, "4", "40")))
    olets = [length(one) for one in legs if one.leg.kind == "olet"]
    assert olets == [pytest.approx(LENGTHS["olet"])] * 4


@pytest.mark.parametrize("flat", ["up", "down", "north", "south"])
def test_an_eccentric_reducer_has_its_flat_side_along_the_pipe(flat: str) -> None:
    made = drawn(numbered(ECCENTRIC.format(flat=flat), "4", "40"))
    legs = on_sheet(made)
    (reducer,) = (one for one in legs if one.leg.kind == "eccentric")
    pipe = next(one for one in legs if one.leg.kind == "pipe")
    (outline,) = leg_shapes(reducer.leg, reducer.start, reducer.end, face_first=False)
    assert isinstance(outline, Polygon)
    along = slope(pipe.start, pipe.end)
    first, second, third, fourth = outline.points
    flats = [slope(*side) == pytest.approx(along, abs=1e-6) for side in ((first, fourth), (second, third))]
    assert sorted(flats) == [False, True]


def test_an_eccentric_reducer_is_no_skew_run_and_its_length_goes_along_the_pipe() -> None:
    made = drawn(numbered(ECCENTRIC.format(flat="up"), "4", "40"))
    (reducer,) = (leg for leg in made.legs if leg.kind == "eccentric")
    assert reducer.start[2] != reducer.end[2]
    (length,) = (one for one in made.dimensions if one.start == reducer.start)
    assert length.end == (reducer.end[0], *reducer.start[1:])
    check(made)


def test_what_an_axis_has_left_over_lengthens_the_pipe_between_fittings() -> None:
    # Fitting, pipe, two fittings, beside a run that takes more than they do together.
    asks = [(0, 1, 10.0, True), (1, 2, 20.0, False), (2, 3, 8.0, True), (3, 4, 9.0, True), (0, 4, 100.0, False)]
    assert Axis([0.0, 50.0, 400.0, 450.0, 500.0], asks, [0.0] * 4).places() == [0.0, 10.0, 83.0, 91.0, 100.0]


@pytest.mark.parametrize("seed", [1, 3, 7])
def test_no_fitting_is_stretched_to_open_a_gap(seed: int) -> None:
    made = walk(40, seed)
    layout = Layout(made.legs, made.dimensions, 1.0)
    untangle(layout, made.legs)
    assert any(any(axis.extra) for axis in layout.axes)
    assert not any(axis.extra[gap] for axis in layout.axes for gap in axis.stiff)


def slope(one: tuple[float, float], other: tuple[float, float]) -> float:
    return (other[1] - one[1]) / (other[0] - one[0])
