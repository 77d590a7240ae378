"""A drawing taken apart at a weld keeps the offsets of a skew run with the run."""

from math import dist

import pytest

from reports.isometric.drawn import Isometric
from reports.isometric.parts import Part, halves
from tests.reports.isometric.test_from_route import drawn, numbered


def skew_route(before: int, after: int) -> str:
    """A skew run between welds in the pipe before it and after it."""
    return (
        "flange 150\n"
        + "run north 700\nshop weld\n" * before
        + "run north 700\nelbow\nrun north 800 up 600\nelbow\nrun north 700\n"
        + "shop weld\nrun north 700\n" * after
        + "cap"
    )


def length_of_run(side: Isometric) -> float:
    """What a side has of the skew run, in mm: the legs along neither north nor up."""
    return sum(
        dist(leg.start, leg.end) for leg in side.legs if leg.start[1] != leg.end[1] and leg.start[2] != leg.end[2]
    )


@pytest.mark.parametrize("before", range(1, 7))
@pytest.mark.parametrize("after", range(1, 7))
def test_the_offsets_stand_where_most_of_the_skew_run_does(before: int, after: int) -> None:
    cut = halves(Part(drawn(numbered(skew_route(before, after)))), lambda legs, dimensions: True)
    assert cut is not None
    more, less = sorted((part.drawing for part in cut), key=length_of_run, reverse=True)
    assert [one.words for one in more.dimensions if one.beside] == ["800", "600"]
    assert not any(one.beside for one in less.dimensions)


def test_the_cut_may_fall_inside_a_skew_run() -> None:
    cut = halves(Part(drawn(numbered(skew_route(1, 1)))), lambda legs, dimensions: True)
    assert cut is not None
    assert all(length_of_run(part.drawing) > 1 for part in cut)
