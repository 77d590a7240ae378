"""Long tables, row by row: the header is repeated on every sheet, words wrap, and only the current row is kept."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from reports.data import Ring
from reports.ink import THIN
from reports.letters import width, wrap
from reports.page import Book

TEXT, HEAD = 7.0, 6.2
LEADING: Final = 8.6
ABOVE, BELOW = 2.2, 2.6  # room over and under the words of a row
GUTTER = 6.0
RING = 10.0
MOST_LINES = 40  # of one cell; more would not fit on a sheet

Cell = str | Ring


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading and its share of the width."""

    heading: str
    share: float
    face: str = "plain"
    anchor: str = "start"


class Table:
    """A table being drawn in a book from `top` downwards."""

    def __init__(self, book: Book, columns: Sequence[Column], top: float | None = None) -> None:
        """Draw the heading at `top`, by default that of the sheet."""
        self.book = book
        self.columns = columns
        self.level = book.area.top if top is None else top
        self.heading_drawn = False
        self.lefts: list[float] = []
        self.rooms: list[float] = []
        self._measure()

    def row(self, cells: Sequence[Cell], *, inks: Mapping[int, str] = MappingProxyType({}), keep: float = 0.0) -> None:
        """Add a row; it moves to a new sheet if this one has no room for it and for `keep` points of what follows.

        inks    colours cells by their place
        """
        lines = self._cells(cells)
        self._room_for(_high(lines) + keep)
        pen, base = self.book.pen, self.level + ABOVE + TEXT * 0.9
        for place, (cell, column, left, room) in enumerate(
            zip(cells, self.columns, self.lefts, self.rooms, strict=True)
        ):
            if isinstance(cell, Ring):
                self.book.ring(cell, left, self.level + 1.4, RING)
                continue
            x, ink = left + room if column.anchor == "end" else left, inks.get(place, "")
            for down, line in enumerate(lines[place]):
                pen.text((x, base + down * LEADING), line, TEXT, column.face, column.anchor, ink)
        self.level += _high(lines)
        self._rule()

    def high_of(self, cells: Sequence[Cell]) -> float:
        """How high a row of these cells is, in points."""
        return _high(self._cells(cells))

    def band(self, words: str, aside: str = "", *, keep: float = 30.0) -> None:
        """A heading across the table, kept together with at least `keep` points of what follows."""
        area = self.book.area
        lines = wrap(words, area.wide - width(aside, TEXT) - 2 * GUTTER, TEXT + 1, "bold", 3)
        high = len(lines) * (LEADING + 1) + 7
        self._room_for(high + keep)
        pen = self.book.pen
        base = self.level + 5 + TEXT
        pen.text((area.right - GUTTER / 2, base), aside, TEXT, anchor="end", ink="small")
        for line in lines:
            pen.text((area.left + GUTTER / 2, base), line, TEXT + 1, "bold")
            base += LEADING + 1
        self.level += high
        self._rule()

    def note(self, words: str, ink: str = "") -> None:
        """A sentence across the table, under the row it belongs to."""
        area = self.book.area
        for line in wrap(words, area.wide - 3 * GUTTER, TEXT):
            self._room_for(LEADING + BELOW)
            self.book.pen.text((area.left + 2 * GUTTER, self.level + ABOVE + TEXT * 0.9), line, TEXT, ink=ink)
            self.level += LEADING
        self.level += BELOW + 1
        self._rule()

    def rows(self, rows: Iterable[Sequence[Cell]]) -> int:
        """Add many rows and return how many there were."""
        count = 0
        for count, cells in enumerate(rows, start=1):  # noqa: B007 the count is the result
            self.row(cells)
        return count

    def _cells(self, cells: Sequence[Cell]) -> list[list[str]]:
        return [
            [] if isinstance(cell, Ring) else self._lines(cell, room, column.face)
            for cell, room, column in zip(cells, self.rooms, self.columns, strict=True)
        ]

    def _lines(self, text: str, room: float, face: str) -> list[str]:
        return wrap(text, room, TEXT, face, MOST_LINES) if text else []

    def _room_for(self, high: float) -> None:
        high = min(high, self.book.area.bottom - self.book.area.top - self._heading_high())
        if not self.heading_drawn:
            if self.level + self._heading_high() + high > self.book.area.bottom:
                self._turn()
            self._heading()
        elif self.level + high > self.book.area.bottom:
            self._turn()
            self._heading()

    def _turn(self) -> None:
        self.book.next_sheet()
        self.level = self.book.area.top
        self._measure()

    def _measure(self) -> None:
        area = self.book.area
        whole = sum(column.share for column in self.columns)
        edge = area.left
        self.lefts, self.rooms = [], []
        for column in self.columns:
            share = column.share / whole * area.wide
            self.lefts.append(edge + GUTTER / 2)
            self.rooms.append(share - GUTTER)
            edge += share

    def _headings(self) -> list[list[str]]:
        pairs = zip(self.columns, self.rooms, strict=True)
        return [wrap(column.heading, room, HEAD, "gothic") for column, room in pairs]

    def _heading_high(self) -> float:
        return max(map(len, self._headings())) * (HEAD + 1) + 5

    def _heading(self) -> None:
        headings = self._headings()
        deepest = max(map(len, headings))
        for lines, column, left, room in zip(headings, self.columns, self.lefts, self.rooms, strict=True):
            base = self.level + HEAD + (deepest - len(lines)) * (HEAD + 1)
            x = left + room if column.anchor == "end" else left
            for place, line in enumerate(lines):
                self.book.pen.text((x, base + place * (HEAD + 1)), line, HEAD, "gothic", column.anchor, "small")
        self.level += deepest * (HEAD + 1) + 5
        area = self.book.area
        self.book.pen.line((area.left, self.level - 1.5), (area.right, self.level - 1.5), THIN * 2)
        self.heading_drawn = True

    def _rule(self) -> None:
        area = self.book.area
        self.book.pen.line((area.left, self.level), (area.right, self.level), 0.25, "map-thin")


def _high(lines: Sequence[Sequence[str]]) -> float:
    return max([1, *map(len, lines)]) * LEADING + ABOVE + BELOW
