"""A paper of one or more tables with lines to sign: the same tables stand on its page on the screen."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from reports.data import TitleBlock
from reports.letters import wrap
from reports.page import Book
from reports.progress_curve import Picture
from reports.signatures import draw_signatures, signatures_high
from reports.table import LEADING, TEXT, Column, Table

_BETWEEN, _UNDER = 10.0, 8.0


@dataclass(frozen=True, slots=True)
class Section:
    """One table: its heading, what stands beside it, and its rows; without rows the sentence `empty`.

    rows     may be a generator, read once
    marked   the words that make the column of this place stand out, for example a reject
    """

    columns: tuple[Column, ...]
    rows: Iterable[Sequence[str]]
    empty: str
    caption: str = ""
    aside: str = ""
    marked: tuple[int, str] = (-1, "")


@dataclass(frozen=True, slots=True)
class ListPaper:
    """The tables of a paper, and who signs it; without a section it says `empty`.

    picture  stands over the tables on its first sheet
    notes    sentences under the picture
    """

    title: TitleBlock
    sections: Iterable[Section]
    empty: str
    signatures: tuple[str, ...] = ()
    paper: str = "A4"
    picture: Picture | None = None
    notes: tuple[str, ...] = ()


def list_paper_pdf(data: ListPaper) -> bytes:
    """The paper as a PDF."""
    book = Book(data.paper, data.title)
    draw_list_paper(book, data)
    return book.finish()


def draw_list_paper(book: Book, data: ListPaper) -> None:
    """The paper in a book."""
    book.start(data.title, landscape=True)
    level = _draw_head(book, data)
    table: Table | None = None
    held: _Row | None = None
    for section in data.sections:
        if table is not None and held is not None:
            held.draw(table)
            level = table.level + _BETWEEN
        if table is None or table.columns is not section.columns:
            table = Table(book, section.columns, top=level)
        held = _draw(table, section)
        level = table.level + _BETWEEN
    if table is not None and held is not None:
        # Nobody signs a sheet on which nothing stands.
        held.draw(table, keep=_BETWEEN + signatures_high(data.signatures))
        level = table.level + _BETWEEN
    if table is None:
        table = Table(book, (Column("", 1),))
        table.note(data.empty)
        level = table.level
    if data.signatures:
        draw_signatures(book, data.signatures, level)


def _draw_head(book: Book, data: ListPaper) -> float:
    """The picture and the sentences under it; returns where the tables begin."""
    area, level = book.area, book.area.top
    if data.picture is not None:
        scale = min(1.0, area.wide / data.picture.width)
        book.pen.shapes(data.picture.shapes, (area.left, level), scale)
        level += data.picture.height * scale + _UNDER
    for note in data.notes:
        for line in wrap(note, area.wide, TEXT):
            book.pen.text((area.left, level + TEXT), line, TEXT)
            level += LEADING
    return level + _UNDER if data.notes else level


@dataclass(frozen=True, slots=True)
class _Row:
    """A row that waits for what follows, with the caption over it where it is the first of its section."""

    cells: Sequence[str]
    inks: Mapping[int, str]
    caption: str
    aside: str

    def draw(self, table: Table, keep: float = 0.0) -> None:
        if self.caption:
            table.band(self.caption, self.aside, keep=table.high_of(self.cells) + keep)
        table.row(self.cells, inks=self.inks, keep=keep)


def _draw(table: Table, section: Section) -> _Row | None:
    """Draw a section but for its last row, which waits for what follows."""
    place, word = section.marked
    held: _Row | None = None
    for row in section.rows:
        if held is not None:
            held.draw(table)
        inks = {place: "stop"} if place >= 0 and row[place] == word else {}
        held = _Row(row, inks, "" if held else section.caption, section.aside)
    if held is None:
        if section.caption:
            table.band(section.caption, section.aside)
        table.note(section.empty)
    return held
