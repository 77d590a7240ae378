"""What a label is about: side by side with its break or its side, and with a leader to where the pipe is whole."""

from math import dist

import pytest

from reports.drawing import Point, Words
from reports.isometric.layout import Layout
from reports.isometric.scene import Placed, build
from reports.isometric.sheet import Sheet, sheets
from reports.isometric.skew import parts, skew_runs
from tests.reports.isometric.test_drawings import check, drawing
from tests.reports.isometric.test_from_route import drawn, numbered

A3 = (34.0, 34.0, 1156.0, 700.0)
# A skew run in two lengths, with a field weld between them.
IN_TWO = """ends butt
run north 1200
elbow
run north 760 up 760
field weld
run north 510 up 510
elbow
run east 1500
open end"""


def words_on(sheet: Sheet, text: str) -> list[Point]:
    """Where words stand on a sheet."""
    shapes = [shape for one in sheet.arranged.written for shape in one.shapes]
    return [shape.at for shape in shapes if isinstance(shape, Words) and shape.text == text]


def test_a_skew_run_in_two_lengths_has_the_sides_of_each_beside_it() -> None:
    made = drawn(numbered(IN_TWO, "4", "40"))
    (run,) = skew_runs(made.legs)
    assert len(parts(run, made.dimensions)) == 2
    (sheet,) = sheets(made, A3)
    weld = next(sheet.placed.point(one.at) for one in made.welds if one.joint.location == "field")
    end = sheet.placed.point(run.end)
    for text, upright in (("760", weld), ("510", end)):
        beside = [at for at in words_on(sheet, text) if abs(at[0] - upright[0]) < 20 and at[1] > upright[1]]
        assert len(beside) == 1, text
    check(made)


@pytest.mark.parametrize("seed", [12, 23, 35])
def test_nts_stands_at_its_break(seed: int) -> None:
    found = 0
    for sheet in sheets(drawing(seed), A3):
        marks = words_on(sheet, "NTS")
        assert len(marks) == len(sheet.scene.shortened)
        for at in sheet.scene.shortened:
            assert min(dist(at, mark) for mark in marks) < 20
            found += 1
    assert found


@pytest.mark.parametrize("seed", [4, 36])
def test_a_leader_points_to_where_its_pipe_is_whole(seed: int) -> None:
    made = drawing(seed)
    layout = Layout(made.legs, made.dimensions, 1.0)
    placed = Placed(layout, made.legs, A3)
    scene = build(made, placed)
    moved = 0
    for mark in made.marks:
        at = scene.whole(placed.point(mark.at))
        moved += at != placed.point(mark.at)
        for stroke, shut in scene.broken:
            away = dist(stroke[:2], at)
            if abs(away + dist(at, stroke[2:]) - dist(stroke[:2], stroke[2:])) < 0.001:
                assert not any(first + 0.001 < away < last - 0.001 for first, last in shut)
    assert moved
