"""A grid over the sheet, so that a label is held against its neighbours only."""

from collections import defaultdict
from collections.abc import Iterator

from reports.isometric.placement.flat import Box


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
