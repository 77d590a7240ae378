"""The contents of a package: parts and certificates with the page each begins on."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from reports.data import TitleBlock
from reports.drawing import Line
from reports.ink import MM
from reports.letters import shorten, width
from reports.page import Book

HIGH: Final = 14.0


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the contents and one bookmark: `depth` 0 is a part, 1 something inside it."""

    words: str
    page: int
    depth: int = 0


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an entry stands, for a link: page number and box in points from the lower left corner."""

    sheet: int
    box: tuple[float, float, float, float]
    page: int


def contents_title(title: TitleBlock) -> TitleBlock:
    """The cover's title block as that of the contents."""
    return replace(title, title="Contents", kind="Contents", supplement=title.title)


def draw_contents(book: Book, title: TitleBlock, entries: Sequence[Entry]) -> list[Spot]:
    """The contents in a book, and where each entry stands."""
    book.start(title)
    level = book.area.top + 6
    spots = []
    for entry in entries:
        space = 5 if entry.depth == 0 else 0
        if level + HIGH + space > book.area.bottom:
            book.next_sheet()
            level = book.area.top + 6
        level += space
        spots.append(_entry(book, entry, level))
        level += HIGH
    return spots


def sheets_of_contents(paper: str, title: TitleBlock, entries: Sequence[Entry]) -> int:
    """How many sheets the contents will take, found by drawing them into a book that is thrown away."""
    book = Book(paper, title)
    draw_contents(book, title, entries)
    return book.page


def _entry(book: Book, entry: Entry, level: float) -> Spot:
    area, pen = book.area, book.pen
    left, right = area.left + (4 + 7 * entry.depth) * MM, area.right - 4 * MM
    face, size = ("bold", 10.0) if entry.depth == 0 else ("plain", 8.5)
    base = level + 10
    number = str(entry.page)
    words = shorten(entry.words, right - left - 22 * MM, size, face)
    pen.text((left, base), words, size, face)
    pen.text((right, base), number, size, face, "end")
    start, end = left + width(words, size, face) + 5, right - width(number, size, face) - 5
    if end > start:
        pen.shapes([Line((start, base - 1), (end, base - 1), "map-thin", 0.5, (0.6, 2.6))])
    low = pen.height - level - HIGH
    return Spot(book.page, (left, low, right, low + HIGH), entry.page)
