"""One calculation on one page: what was asked, the answer, its drawing, the steps, the source and its cautions."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from reports.data import TitleBlock
from reports.ink import MM, THIN
from reports.letters import wrap
from reports.page import Book
from reports.section_marks import Sheet

GAP: Final = 6 * MM
HEAD: Final = 24.0
SIZES: Final = (9.5, 8.5, 7.5, 6.5, 5.5)
LEADING: Final = 1.32
LABEL: Final = 0.43  # of a column
DRAWING_HIGH, DRAWING_LEAST = 88 * MM, 34 * MM
DRAWN_SCALE: Final = 0.95  # of a drawing made for a screen, where there is room for it

Rows = Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class CalculationData:
    """What the page says, already in the reader's units and words."""

    title: TitleBlock
    about: str
    asked: Rows
    answer: Rows
    steps: Sequence[str]
    source: Sequence[tuple[str, Sequence[str]]]  # source, state, confirmations of tables
    drawing: Sheet | None = None
    notes: Sequence[str] = field(default=())
    cautions: Sequence[str] = field(default=())
    paper: str = "A4"


def calculation_pdf(data: CalculationData) -> bytes:
    """The calculation as a PDF of one page; letters shrink where there is much to say, and a drawing before them."""
    book = Book(data.paper, data.title)
    book.start(data.title)
    room = book.area.bottom - book.area.top
    size = next((one for one in SIZES if _high(book, data, one) + _least(data) <= room), SIZES[-1])
    level = book.area.top + HEAD
    book.pen.text((book.area.left, level - 6), data.title.title, 15, "bold")
    level = _text(book, [data.about], level + size, size)
    level = _columns(book, data, level + GAP / 2, size)
    after = _after(book, data, size)
    level = _drawing(book, data, level, book.area.bottom - after)
    for head, lines in _parts(data):
        level = _part(book, head, lines, level, size)
    return book.finish()


def _least(data: CalculationData) -> float:
    return DRAWING_LEAST + GAP if data.drawing else 0.0


def _parts(data: CalculationData) -> list[tuple[str, Sequence[str]]]:
    """What stands below the drawing."""
    source = [f"{label}: {words}" for label, some in data.source for words in some]
    parts = [("Steps", data.steps), ("Source", source), ("Notes", data.notes), ("Before you start", data.cautions)]
    return [(head, lines) for head, lines in parts if lines]


def _high(book: Book, data: CalculationData, size: float) -> float:
    """Everything but the drawing, in points."""
    wide = (book.area.wide - GAP) / 2
    columns = max(_table_high(data.asked, wide, size), _table_high(data.answer, wide, size))
    about = len(wrap(data.about, book.area.wide, size)) * size * LEADING
    return HEAD + size + about + GAP / 2 + columns + GAP + _after(book, data, size)


def _after(book: Book, data: CalculationData, size: float) -> float:
    lines = [line for _, some in _parts(data) for one in some for line in wrap(one, book.area.wide - 4 * MM, size)]
    return len(lines) * size * LEADING + len(_parts(data)) * (size * 2 * LEADING)


def _table_high(rows: Rows, wide: float, size: float) -> float:
    return size * 2 * LEADING + sum(_row_lines(label, words, wide, size) for label, words in rows) * size * LEADING


def _row_lines(label: str, words: str, wide: float, size: float) -> int:
    return max(len(wrap(label, wide * LABEL, size)), len(wrap(words, wide * (0.97 - LABEL), size)))


def _columns(book: Book, data: CalculationData, level: float, size: float) -> float:
    """What was asked, and beside it the answer."""
    wide = (book.area.wide - GAP) / 2
    lows = [
        _table(book, head, rows, book.area.left + place * (wide + GAP), wide, level, size)
        for place, (head, rows) in enumerate((("Asked", data.asked), ("Answer", data.answer)))
    ]
    return max(lows) + GAP


def _table(book: Book, head: str, rows: Rows, left: float, wide: float, level: float, size: float) -> float:
    pen = book.pen
    pen.text((left, level + size), head, size * 1.15, "gothic", ink="small")
    level += size * 1.6
    pen.line((left, level), (left + wide, level), THIN * 2)
    level += size * 0.3
    for label, words in rows:
        lines = wrap(label, wide * LABEL, size), wrap(words, wide * (0.97 - LABEL), size, _face(head))
        for place, line in enumerate(lines[0]):
            pen.text((left, level + size + place * size * LEADING), line, size, ink="small")
        for place, line in enumerate(lines[1]):
            pen.text((left + wide * (LABEL + 0.03), level + size + place * size * LEADING), line, size, _face(head))
        level += max(map(len, lines)) * size * LEADING
        pen.line((left, level + size * 0.12), (left + wide, level + size * 0.12), THIN * 0.6, "map-thin")
    return level


def _face(head: str) -> str:
    return "bold" if head == "Answer" else "plain"


def _drawing(book: Book, data: CalculationData, level: float, bottom: float) -> float:
    """The drawing in the room between, not larger than it reads well; return where the words go on."""
    sheet = data.drawing
    if sheet is None:
        return level
    high = min(DRAWING_HIGH, bottom - level - GAP)
    scale = min(book.area.wide / sheet.width, high / sheet.height, DRAWN_SCALE)
    left = book.area.left + (book.area.wide - sheet.width * scale) / 2
    book.pen.shapes(sheet.shapes, (left, level), scale)
    return level + sheet.height * scale + GAP


def _part(book: Book, head: str, lines: Sequence[str], level: float, size: float) -> float:
    book.pen.text((book.area.left, level + size), head, size * 1.15, "gothic", ink="small")
    level += size * LEADING
    book.pen.line((book.area.left, level + size * 0.3), (book.area.right, level + size * 0.3), THIN * 0.6, "map-thin")
    return _text(book, lines, level + size * LEADING, size, 4 * MM) + size * 0.4


def _text(book: Book, lines: Sequence[str], level: float, size: float, indent: float = 0.0) -> float:
    """Sentences, each on a line of its own; return the level after the last."""
    for one in lines:
        for line in wrap(one, book.area.wide - indent, size):
            book.pen.text((book.area.left + indent, level + size * 0.2), line, size)
            level += size * LEADING
    return level
