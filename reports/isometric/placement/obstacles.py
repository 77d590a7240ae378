"""What can't move on a sheet: the boxes and strokes that every place of a label is held against, square by square."""

from dataclasses import dataclass, field
from math import hypot

from reports.drawing import Point
from reports.isometric.placement.flat import Box, Stroke, stroke_box, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import box_squares, stroke_squares

# A stroke with its extent and its normal form: left, top, right, bottom, across x, across y, offset, and the stroke.
_Wall = tuple[float, float, float, float, float, float, float, Stroke]


@dataclass(slots=True)
class _Square:
    boxes: list[Box] = field(default_factory=list)
    walls: list[_Wall] = field(default_factory=list)


class Obstacles:
    """Boxes and strokes; a label keeps `clear` off the strokes and may touch the boxes."""

    def __init__(self, clear: float) -> None:
        """Begin with none."""
        self.clear = clear
        self.outlines: dict[Box, tuple[Point, ...]] = {}
        self._squares: dict[int, _Square] = {}

    def add_box(self, box: Box, outline: tuple[Point, ...] = ()) -> None:
        """Keep labels and leaders out of a box; `outline` are the corners of what slants in it, round about."""
        if outline:
            self.outlines[box] = outline
        for square in box_squares(box):
            self._at(square).boxes.append(box)

    def add_stroke(self, stroke: Stroke) -> None:
        """Keep labels off a stroke; what leaders cross of them is counted."""
        wall = _wall(stroke)
        for square in stroke_squares(stroke, self.clear):
            self._at(square).walls.append(wall)

    def _at(self, square: int) -> _Square:
        found = self._squares.get(square)
        if found is None:
            found = self._squares[square] = _Square()
        return found

    def covers(self, box: Box) -> bool:
        """Whether anything stands in a box, or a stroke too near to it; plain loops, since it is asked most often."""
        squares = self._squares
        left, top, right, bottom = box
        x, y = (left + right) / 2, (top + bottom) / 2
        half_wide, half_high = x - left + self.clear, y - top + self.clear
        for square in box_squares(box):
            here = squares.get(square)
            if here is None:
                continue
            for other in here.boxes:
                if left < other[2] and other[0] < right and top < other[3] and other[1] < bottom:
                    return True
            for w_left, w_top, w_right, w_bottom, nx, ny, offset, _ in here.walls:
                # Apart along an axis of the sheet, or across the stroke.
                if w_right <= x - half_wide or w_left >= x + half_wide:
                    continue
                if w_bottom <= y - half_high or w_top >= y + half_high:
                    continue
                if abs(nx * x + ny * y - offset) < abs(nx) * half_wide + abs(ny) * half_high:
                    return True
        return False

    def across(self, stroke: Stroke, own: Point | None = None, beside: float = 0.0) -> int | None:
        """How many strokes another one crosses, or nothing if it may not stand there.

        own     a point; the box around it may be touched
        beside  it may not run along a stroke nearer than this
        """
        squares = self._squares
        x1, y1, x2, y2 = stroke
        left, top, right, bottom = stroke_box(stroke)
        near_left, near_top, near_right, near_bottom = left - beside, top - beside, right + beside, bottom + beside
        crossed: list[Stroke] = []
        for square in stroke_squares(stroke, beside):
            here = squares.get(square)
            if here is None:
                continue
            for box in here.boxes:
                if right <= box[0] or box[2] <= left or bottom <= box[1] or box[3] <= top:
                    continue
                mine = own is not None and box[0] <= own[0] <= box[2] and box[1] <= own[1] <= box[3]
                if not mine and stroke_meets_box(stroke, box):
                    return None
            for w_left, w_top, w_right, w_bottom, nx, ny, offset, other in here.walls:
                if w_right < near_left or near_right < w_left or w_bottom < near_top or near_bottom < w_top:
                    continue
                first, last = nx * x1 + ny * y1 - offset, nx * x2 + ny * y2 - offset
                if beside and abs(first - last) <= 0.1 and abs(first) <= beside and _overlap(stroke, other):
                    return None
                if first * last <= 1e-6 and other not in crossed and strokes_cross(stroke, other):
                    crossed.append(other)
        return len(crossed)

    def runs_along(self, stroke: Stroke, beside: float) -> bool:
        """Whether a stroke runs along another one, nearer than so much."""
        x1, y1, x2, y2 = stroke
        left, top, right, bottom = stroke_box(stroke)
        left, top, right, bottom = left - beside, top - beside, right + beside, bottom + beside
        for square in stroke_squares(stroke, beside):
            here = self._squares.get(square)
            if here is None:
                continue
            for w_left, w_top, w_right, w_bottom, nx, ny, offset, other in here.walls:
                if w_right < left or right < w_left or w_bottom < top or bottom < w_top:
                    continue
                first, last = nx * x1 + ny * y1 - offset, nx * x2 + ny * y2 - offset
                if abs(first - last) <= 0.1 and abs(first) <= beside and _overlap(stroke, other):
                    return True
        return False

    def crossings(self, stroke: Stroke) -> list[Stroke]:
        """The strokes that a stroke crosses or touches, each once."""
        found: list[Stroke] = []
        left, top, right, bottom = stroke_box(stroke)
        for square in stroke_squares(stroke):
            here = self._squares.get(square)
            if here is None:
                continue
            for w_left, w_top, w_right, w_bottom, _, _, _, other in here.walls:
                if w_right < left or right < w_left or w_bottom < top or bottom < w_top or other in found:
                    continue
                if strokes_cross(stroke, other):
                    found.append(other)
        return found

    def boxes_on(self, stroke: Stroke) -> list[Box]:
        """The boxes that a stroke runs through, each once."""
        found: list[Box] = []
        for square in stroke_squares(stroke):
            here = self._squares.get(square)
            if here is not None:
                found += [box for box in here.boxes if box not in found and stroke_meets_box(stroke, box)]
        return found


def _overlap(one: Stroke, other: Stroke) -> bool:
    """Whether two parallel strokes stand beside each other for more than half a point."""
    dx, dy = other[2] - other[0], other[3] - other[1]
    length = hypot(dx, dy)
    if not length:
        return False
    ahead = sorted(((x - other[0]) * dx + (y - other[1]) * dy) / length for x, y in (one[:2], one[2:]))
    return min(ahead[1], length) - max(ahead[0], 0.0) > 0.5


def _wall(stroke: Stroke) -> _Wall:
    x1, y1, x2, y2 = stroke
    length = hypot(x2 - x1, y2 - y1)
    nx, ny = (-(y2 - y1) / length, (x2 - x1) / length) if length else (1.0, 0.0)
    return min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2), nx, ny, nx * x1 + ny * y1, stroke
