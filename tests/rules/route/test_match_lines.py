"""The weld at a match line, which one of two sheets has, and welds that join nothing; worked by hand."""

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from rules.route.shape import RouteShape


def laid(text: str) -> RouteShape:
    """NPS 4 with butt welds, 3 mm open; its elbow takes 152."""
    return shape_of_text(text, Setting("4", "40"))


def told(shape: RouteShape) -> list[tuple[object, ...]]:
    return [
        (one.kind, one.location, tuple(map(float, one.at.parts())), one.piece_a, one.piece_b, one.spool, one.line)
        for one in shape.joints
    ]


@pytest.mark.parametrize("begin", ["continued from sheet 1\nfield fit weld", "field fit weld\ncontinued from sheet 1"])
def test_a_weld_after_continued_from_is_a_joint_with_the_pipe_of_the_other_sheet(begin: str) -> None:
    shape = laid(f"{begin}\nrun north 1000\nelbow\nrun up 500\nopen end")
    assert not shape.faults
    assert told(shape)[0] == (
        "butt", "field-fit", (0, 0, 0), "1", "", "A", begin.splitlines().index("field fit weld") + 1,
    )  # fmt: skip
    # 1000 - 152 - 3 at the elbow - 3 at the match line + 100 left on; the pipe begins where the opening ends.
    assert (shape.pipes[0].cut_mm, shape.pipes[0].allowance_mm) == (942, 100)
    assert shape.pipes[0].first.north == 3


def test_a_weld_before_continue_on_is_a_joint_too() -> None:
    shape = laid("run north 1000\nfield weld\ncontinue on sheet 2")
    assert not shape.faults
    assert told(shape) == [("butt", "field", (0, 1000, 0), "1", "", "A", 2)]
    assert shape.pipes[0].cut_mm == 997


def test_the_sheet_that_does_not_write_it_has_no_joint_and_its_pipe_ends_at_the_line() -> None:
    shape = laid("continued from sheet 1\nrun north 1000\ncontinue on sheet 3")
    assert (shape.joints, shape.pipes[0].cut_mm) == ((), 1000)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("field weld\nrun north 500\nopen end", (1, 1)),
        ("run north 500\nelbow\nrun up 300\n  field fit weld\nopen end", (4, 3)),
        ("run north 500\nflange 150\nfield weld\ngasket 3\nflange 150\nrun north 300\nopen end", (3, 1)),
        ("continued from sheet 1\nfield weld\nflange 150\nrun north 500\nopen end", (2, 1)),
        ("run north 500\nvalve V-1 length 200 butt\nshop weld", (3, 1)),
        ("run north 500\nvalve V-1 length 200 butt\nfield weld\ncontinue on sheet 2", (3, 1)),
    ],
)
def test_a_weld_that_joins_nothing_is_told_with_its_place(text: str, place: tuple[int, int]) -> None:
    (fault,) = laid(text).faults
    assert (fault.line, fault.column) == place
    assert fault.message == (
        "This weld has nothing to join on one side of it; accepted is a run or a fitting on both sides, or on one side "
        '"continued from" or "continue on" another sheet.'
    )
