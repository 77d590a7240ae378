"""One place of one label: what it takes on the sheet, what it costs, and how it is drawn there."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from reports.drawing import Point, Shape
from reports.isometric.placement.flat import Box, Stroke, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import box_squares, stroke_squares


@dataclass(slots=True, eq=False)
class Candidate:
    """One place for one label: its cost, the boxes and strokes nothing else may meet, and how it is drawn.

    extent   the box around all of it
    squares  those of the sheet that it touches
    met      whether others clash with it, as far as that was asked
    """

    cost: float
    boxes: tuple[Box, ...]
    strokes: tuple[Stroke, ...]
    shapes: Callable[[], list[Shape]]
    extent: Box
    ring: Point | None = None  # upper left corner of a joint's ring
    leader: float = 0.0
    met: dict["Candidate", bool] = field(default_factory=dict)
    _squares: Sequence[int] | None = None

    @property
    def squares(self) -> Sequence[int]:
        """The squares of the sheet it touches."""
        if self._squares is None:
            found: set[int] = set()
            for box in self.boxes:
                found.update(box_squares(box))
            for stroke in self.strokes:
                found.update(stroke_squares(stroke))
            self._squares = sorted(found)
        return self._squares


def around_all(boxes: Iterable[Box]) -> Box:
    """The smallest box around boxes."""
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def clash(one: Candidate, other: Candidate) -> bool:
    """Whether two places can't both be taken; plain loops, since a sheet asks this ten thousand times."""
    mine, extent = one.extent, other.extent
    # A stroke touches at its edge what a box does not.
    if mine[0] > extent[2] or extent[0] > mine[2] or mine[1] > extent[3] or extent[1] > mine[3]:
        return False
    theirs, their_strokes = other.boxes, other.strokes
    for box in one.boxes:
        for their in theirs:
            if box[0] < their[2] and their[0] < box[2] and box[1] < their[3] and their[1] < box[3]:
                return True
        for stroke in their_strokes:
            if stroke_meets_box(stroke, box):
                return True
    for stroke in one.strokes:
        for their in theirs:
            if stroke_meets_box(stroke, their):
                return True
        for another in their_strokes:
            if strokes_cross(stroke, another):
                return True
    return False
