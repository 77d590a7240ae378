"""One place of one label: what it takes on the sheet, what it costs, and how it is drawn there."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from reports.drawing import Point, Shape
from reports.isometric.placement.flat import Box, Stroke, seem_one, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import box_squares, stroke_squares


@dataclass(slots=True, eq=False)
class Candidate:
    """One place for one label: its cost, the boxes and strokes nothing else may meet, and how it is drawn.

    extent   the box around all of it
    squares  those of the sheet that it touches, and maybe some beside it
    met      whether others clash with it, as far as that was asked
    blocker  a label and its place that stood in the way when it was asked last
    """

    cost: float
    boxes: tuple[Box, ...]
    strokes: tuple[Stroke, ...]
    shapes: Callable[[], list[Shape]]
    extent: Box
    ring: Point | None = None  # upper left corner of a joint's ring
    leader: float = 0.0
    met: dict["Candidate", bool] = field(default_factory=dict)
    blocker: tuple[int, "Candidate"] | None = None
    _squares: Sequence[int] | None = None

    @property
    def squares(self) -> Sequence[int]:
        """The squares of the sheet it touches."""
        if self._squares is None:
            if len(self.strokes) < 2:
                # A label and its leader are small: those of the box around them are nearly the same.
                self._squares = box_squares(self.extent)
                return self._squares
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
    left, top, right, bottom = one.extent
    their_left, their_top, their_right, their_bottom = other.extent
    # A stroke touches at its edge what a box does not.
    if left > their_right or their_left > right or top > their_bottom or their_top > bottom:
        return False
    # Only what reaches into the room that both take can meet.
    shared = (
        left if left > their_left else their_left,
        top if top > their_top else their_top,
        right if right < their_right else their_right,
        bottom if bottom < their_bottom else their_bottom,
    )
    theirs, their_strokes = _boxes_in(other.boxes, shared), _strokes_in(other.strokes, shared)
    if not theirs and not their_strokes:
        return False
    for box in _boxes_in(one.boxes, shared):
        for their in theirs:
            if box[0] < their[2] and their[0] < box[2] and box[1] < their[3] and their[1] < box[3]:
                return True
        for stroke in their_strokes:
            if stroke_meets_box(stroke, box):
                return True
    for stroke in _strokes_in(one.strokes, shared):
        for their in theirs:
            if stroke_meets_box(stroke, their):
                return True
        for another in their_strokes:
            if strokes_cross(stroke, another) or seem_one(stroke, another):
                return True
    return False


def _boxes_in(boxes: Sequence[Box], room: Box) -> Sequence[Box]:
    """The boxes that reach into a room or touch it; one alone is not worth asking."""
    if len(boxes) < 2:
        return boxes
    left, top, right, bottom = room
    return [box for box in boxes if box[0] <= right and box[2] >= left and box[1] <= bottom and box[3] >= top]


def _strokes_in(strokes: Sequence[Stroke], room: Box) -> Sequence[Stroke]:
    """The strokes whose extent reaches into a room or touches it; one alone is not worth asking."""
    if len(strokes) < 2:
        return strokes
    left, top, right, bottom = room
    return [
        stroke
        for stroke in strokes
        if (stroke[0] <= right or stroke[2] <= right)
        and (stroke[0] >= left or stroke[2] >= left)
        and (stroke[1] <= bottom or stroke[3] <= bottom)
        and (stroke[1] >= top or stroke[3] >= top)
    ]
