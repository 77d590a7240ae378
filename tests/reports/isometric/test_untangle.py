"""Gaps are opened until no leg misleads: none lies on another, and no skew run looks as if it ran along an axis."""

import pytest

from reports.isometric.drawn import Isometric, key
from reports.isometric.layout import Layout
from reports.isometric.projection import AXES, along, project
from reports.isometric.untangle import tangles, untangle
from tests.reports.isometric.test_from_route import drawn, numbered
from tests.reports.isometric.test_projection import heading
from tests.reports.isometric.walks import walk

NORTH_WEST = """ends butt
run north 900
elbow
run north 400 west 400
elbow
run west 800
open end"""


def laid(made: Isometric) -> Layout:
    layout = Layout(made.legs, made.dimensions, 1.0)
    untangle(layout, made.legs)
    return layout


def test_a_run_to_the_north_west_by_equal_offsets_is_not_drawn_upright() -> None:
    made = drawn(numbered(NORTH_WEST))
    layout = laid(made)
    (pipe,) = (leg for leg in made.legs if leg.kind == "pipe" and along(leg.start, leg.end) is None)
    (x1, y1), (x2, y2) = project(layout.place(pipe.start)), project(layout.place(pipe.end))
    assert abs(heading(x2 - x1, y2 - y1) - heading(*project(AXES[2]))) > 6.9


@pytest.mark.parametrize("seed", range(10))
def test_hardly_a_leg_lies_on_another_and_no_skew_run_misleads(seed: int) -> None:
    made = walk(30, seed, skew=0.4)
    left = tangles(laid(made), made.legs, [(key(leg.start), key(leg.end)) for leg in made.legs])
    assert [one for one, other in left if one == other] == []
    assert len(left) <= 4
