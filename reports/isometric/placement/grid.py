"""A grid over the sheet, so that a label is held against its neighbours only."""

from collections import defaultdict
from collections.abc import Iterator

from reports.isometric.placement.flat import Box, Stroke

SQUARE = 28.0  # side of the squares by which places on the sheet are told, about the height of two labels
_ROW = 4096  # squares of a column are numbered on from the one before by this


class Grid:
    """Numbers filed under every square that their box touches."""

    def __init__(self, size: float) -> None:
        """Squares of this side; about the size of a label serves best."""
        self.size = size
        self._squares: defaultdict[tuple[int, int], list[int]] = defaultdict(list)

    def add(self, number: int, box: Box) -> None:
        """File a number under the squares of its box."""
        for square in self._touched(box):
            self._squares[square].append(number)

    def near(self, box: Box) -> list[int]:
        """The numbers whose squares the box touches, each once, in rising order."""
        squares = self._squares
        return sorted({number for square in self._touched(box) if square in squares for number in squares[square]})

    def _touched(self, box: Box) -> Iterator[tuple[int, int]]:
        size = self.size
        down = range(int(box[1] // size), int(box[3] // size) + 1)
        for across in range(int(box[0] // size), int(box[2] // size) + 1):
            for row in down:
                yield across, row


def box_squares(box: Box) -> list[int]:
    """The squares of the sheet that a box touches, as numbers."""
    first, last = int(box[0] // SQUARE) * _ROW, int(box[2] // SQUARE) * _ROW
    top, bottom = int(box[1] // SQUARE), int(box[3] // SQUARE) + 1
    found = list(range(first + top, first + bottom))
    for column in range(first + _ROW, last + 1, _ROW):
        found += range(column + top, column + bottom)
    return found


def stroke_squares(stroke: Stroke, room: float = 0.0) -> list[int]:
    """The squares that a stroke comes through or as near as `room` to, column by column."""
    x1, y1, x2, y2 = stroke
    if x1 > x2:
        x1, y1, x2, y2 = x2, y2, x1, y1
    low, high = (y1, y2) if y1 < y2 else (y2, y1)
    first_column, last_column = int((x1 - room) // SQUARE), int((x2 + room) // SQUARE)
    first, last = int((low - room) // SQUARE), int((high + room) // SQUARE)
    if first_column == last_column:
        base = first_column * _ROW
        return list(range(base + first, base + last + 1))
    if first == last:
        return list(range(first_column * _ROW + first, last_column * _ROW + first + 1, _ROW))
    slope = (y2 - y1) / (x2 - x1) if x2 - x1 > 1e-6 else 0.0
    found: list[int] = []
    for column in range(first_column, last_column + 1):
        if slope:
            left, right = column * SQUARE - room, (column + 1) * SQUARE + room
            entry = y1 + (left - x1) * slope if left > x1 else y1
            way_out = y1 + (right - x1) * slope if right < x2 else y2
            if slope < 0:
                entry, way_out = way_out, entry
            first, last = int((entry - room) // SQUARE), int((way_out + room) // SQUARE)
        base = column * _ROW
        found += range(base + first, base + last + 1)
    return found
