"""The spool sheet: one page for the shop with a spool's drawing, its pieces to cut, its joints and how to lift it."""

from collections.abc import Iterable
from dataclasses import dataclass

from reports.data import Ring, TitleBlock
from reports.isometric.candidates import RING
from reports.isometric.drawn import Isometric
from reports.isometric.paper import KEY_HIGH, sheet_shapes, weld_key
from reports.isometric.sheet import Sheet, sheets
from reports.legend import draw_legend
from reports.letters import wrap
from reports.page import Area, Book
from reports.table import Column, Table

PIECES = (
    Column("Piece", 18, "bold"), Column("What it is", 42), Column("Size", 38), Column("Cut length", 34, "bold", "end"),
    Column("Goes in", 36), Column("Witness mark from the end", 42), Column("Heat", 28),
)  # fmt: skip
JOINTS = (
    Column("", 9), Column("Joint", 18, "bold"), Column("Kind", 28), Column("Size", 36), Column("Procedure", 26),
    Column("At fit-up", 62), Column("Weld", 40), Column("Examine", 34),
)  # fmt: skip
SHARE = 0.56  # of the sheet's width for the drawing
BETWEEN = 12.0
FACT_LABEL = 74.0
TEXT, LEADING = 7.5, 9.6
LIFTING = "A computed weight is not a lifting plan: lift by the site's own plan, with a margin for what is not in it."


@dataclass(frozen=True, slots=True)
class SpoolSheet:
    """One spool; without a drawing `no_drawing` says why. Rows are those of PIECES and JOINTS.

    facts   ("Overall", "1200 x 800 x 300 mm"), ("Weight of its pipe", "12.3 kg"), ...
    warned  sentences that stand out, for example a side that is over the transport envelope
    """

    title: TitleBlock
    drawing: Isometric | None
    no_drawing: str
    facts: tuple[tuple[str, str], ...]
    pieces: tuple[tuple[str, ...], ...]
    joints: tuple[tuple[str | Ring, ...], ...]
    warned: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    paper: str = "A3"


def spool_sheets_pdf(spools: Iterable[SpoolSheet]) -> bytes:
    """Sheets of one or more spools as a PDF. Raises ValueError for none."""
    book: Book | None = None
    for one in spools:
        book = book or Book(one.paper, one.title)
        draw_spool_sheet(book, one)
    if book is None:
        raise ValueError("Spool sheets need a spool.")
    return book.finish()


def draw_spool_sheet(book: Book, data: SpoolSheet) -> None:
    """The sheet in a book; a second one only where the drawing has parts or a table has no room."""
    book.start(data.title, landscape=True)
    draw_legend(book, flags=False)
    area = book.area
    middle = area.left + area.wide * SHARE
    made = sheets(data.drawing, (area.left, area.top, middle, area.bottom - KEY_HIGH)) if data.drawing else []
    if made:
        _draw(book, made[0])
        book.pen.shapes(weld_key(area.left, area.wide * SHARE, area.bottom))
        book.area = Area(middle + BETWEEN, area.top, area.right, area.bottom)
    level = _facts(book, data)
    level = _table(book, PIECES, "Pieces", data.pieces, "The plan names no pieces of its joints.", level)
    level = _table(book, JOINTS, "Joints", data.joints, "No joints of the plan are on it.", level)
    for note in data.notes:
        if level + LEADING * 3 < book.area.bottom:
            level = _sentence(book, note, (book.area.left + 3, level + TEXT), book.area.wide - 6, ink="small")
    for sheet in made[1:]:
        book.next_sheet()
        _draw(book, sheet)


def _draw(book: Book, sheet: Sheet) -> None:
    book.pen.shapes(sheet_shapes(sheet))
    for written in sheet.arranged.written:
        if written.weld is not None and written.ring is not None:
            book.ring(written.weld.joint.ring, *written.ring, RING)


def _facts(book: Book, data: SpoolSheet) -> float:
    """What the spool weighs and how large it is, with the caution; return where the tables may begin."""
    area = book.area
    level = area.top + TEXT + 2
    for label, words in data.facts:
        book.pen.text((area.left + 3, level), label, TEXT, "gothic", ink="small")
        level = _sentence(book, words, (area.left + FACT_LABEL, level), area.wide - FACT_LABEL - 3, face="bold")
    for words in data.warned:
        level = _sentence(book, words, (area.left + 3, level), area.wide - 6, ink="stop")
    for words in filter(None, (data.no_drawing, LIFTING)):
        level = _sentence(book, words, (area.left + 3, level + 2), area.wide - 6)
    return level


def _table(
    book: Book,
    columns: tuple[Column, ...],
    words: str,
    rows: tuple[tuple[str | Ring, ...], ...] | tuple[tuple[str, ...], ...],
    empty: str,
    level: float,
) -> float:
    if level + 60 > book.area.bottom:
        book.next_sheet()
        level = book.area.top - 8
    book.pen.text((book.area.left + 3, level + 12), words, 9, "bold")
    table = Table(book, columns, top=level + 17)
    table.rows(rows)
    if not rows:
        table.note(empty)
    return table.level + 4


def _sentence(
    book: Book, words: str, at: tuple[float, float], wide: float, *, face: str = "plain", ink: str = ""
) -> float:
    level = at[1]
    for line in wrap(words, wide, TEXT, face):
        book.pen.text((at[0], level), line, TEXT, face, ink=ink)
        level += LEADING
    return level
