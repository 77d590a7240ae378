"""The isometric on paper: its sheets, then the joint table, the bill of material and the cut list, as a PDF."""

from collections.abc import Iterable
from dataclasses import replace

from reports.data import Ring, TitleBlock
from reports.drawing import Shape, Words
from reports.isometric.candidates import RING
from reports.isometric.drawn import Isometric, Weld
from reports.isometric.placement.flat import Box
from reports.isometric.sheet import Sheet, sheets
from reports.isometric.symbols import weld_shapes
from reports.legend import draw_legend
from reports.page import Book
from reports.table import Column, Table

SYMBOLS = (
    ("butt", "shop", "butt weld"), ("socket", "shop", "socket or slip-on"), ("pad", "shop", "pad"),
    ("seal", "shop", "seal or attachment"), ("butt", "field", "field weld"), ("butt", "field-fit", "field weld to fit"),
)  # fmt: skip
KEY_HIGH, KEY_WIDE = 14.0, 118.0
BASE = (
    Column("", 5.5), Column("Joint", 18, "bold"), Column("Att.", 8), Column("Kind", 21), Column("Weld", 36),
    Column("Size", 24), Column("Where", 15), Column("Spool", 24), Column("Procedure", 22),
)  # fmt: skip
PLANNED = (*BASE, Column("Heat A", 24), Column("Heat B", 24), Column("State", 22))
BUILT = (
    *BASE, Column("Heat A", 24), Column("Heat B", 24), Column("Stamps", 26), Column("Welded", 24),
    Column("Accepted", 24), Column("State", 22),
)  # fmt: skip
BILL = (
    Column("Mark", 14, "bold"), Column("Number", 12, anchor="end"), Column("What", 60), Column("Size", 40),
    Column("Material", 36), Column("Heat", 30), Column("Spool", 26),
)  # fmt: skip
CUTS = (
    Column("Mark", 14, "bold"), Column("Size", 40), Column("Cut length", 30, "bold", "end"), Column("Ends", 44),
    Column("Heat", 30), Column("Spool", 26), Column("Note", 40),
)  # fmt: skip


def isometric_pdf(drawing: Isometric) -> bytes:
    """The isometric as a PDF, on landscape sheets of the paper it names."""
    book = Book(drawing.paper, drawing.title)
    draw_isometric(book, drawing)
    return book.finish()


def draw_isometric(book: Book, drawing: Isometric) -> None:
    """The isometric in a book: its sheets first, then its tables on sheets of their own."""
    book.start(drawing.title, landscape=True)
    made = sheets(drawing, room_of(book))
    for number, sheet in enumerate(made, start=1):
        if number > 1:
            book.start(_part_title(drawing, number, len(made)), landscape=True)
        draw_legend(book, flags=False)
        _draw_sheet(book, sheet)
    book.next_sheet()
    table = Table(book, BUILT if drawing.as_built else PLANNED)
    table.rows(_joint_row(weld, built=drawing.as_built) for weld in (*drawing.welds, *drawing.gone))
    if not (drawing.welds or drawing.gone):
        table.note("No joint on this drawing.")
    level = _further(book, table.level, BILL, "Bill of material", [
        (row.mark, row.quantity, row.what, row.size, row.material, row.heat, row.spool) for row in drawing.bill
    ])  # fmt: skip
    _further(book, level, CUTS, "Cut list", [
        (row.mark, row.size, row.length, row.ends, row.heat, row.spool, row.note) for row in drawing.cuts
    ])  # fmt: skip


def room_of(book: Book) -> Box:
    """The room for the drawing on the sheet just begun."""
    area = book.area
    return area.left, area.top, area.right, area.bottom - KEY_HIGH


def _part_title(drawing: Isometric, number: int, count: int) -> TitleBlock:
    title = drawing.title
    part = f"part {number} of {count}"
    return replace(title, supplement=f"{title.supplement}, {part}" if title.supplement else part)


def _draw_sheet(book: Book, sheet: Sheet) -> None:
    book.pen.shapes([*sheet_shapes(sheet), *weld_key(book.area.left, book.area.wide, book.area.bottom)])
    for written in sheet.arranged.written:
        if written.weld is not None and written.ring is not None:
            book.ring(written.weld.joint.ring, *written.ring, RING)


def sheet_shapes(sheet: Sheet) -> list[Shape]:
    """Everything of a sheet but the rings."""
    shapes = [*sheet.corner, *sheet.scene.shapes]
    for _, _, marks in sheet.scene.welds:
        shapes += marks
    for written in sheet.arranged.written:
        shapes += written.shapes
    return shapes


def weld_key(left: float, wide: float, bottom: float) -> list[Shape]:
    """What the marks of welds mean, in one line under a drawing; it takes the lowest KEY_HIGH of the room."""
    step = min(wide / len(SYMBOLS), KEY_WIDE)
    shapes: list[Shape] = []
    for place, (kind, location, words) in enumerate(SYMBOLS):
        x, y = left + step * place + 8, bottom - 6
        shapes += weld_shapes(kind, location, (x, y), (1.0, 0.0), (0.0, 1.0))
        shapes.append(Words((x + 10, y + 2.4), words, 6.5))
    return shapes


def _further(
    book: Book, level: float, columns: tuple[Column, ...], words: str, rows: Iterable[tuple[str | Ring, ...]]
) -> float:
    """A table under the one before, with its name; nothing where it has no rows."""
    kept = list(rows)
    if not kept:
        return level
    if level + 70 > book.area.bottom:
        book.next_sheet()
        level = book.area.top - 8
    book.pen.text((book.area.left + 3, level + 20), words, 9, "bold")
    table = Table(book, columns, top=level + 26)
    table.rows(kept)
    return table.level


def _joint_row(weld: Weld, *, built: bool) -> tuple[str | Ring, ...]:
    joint = weld.joint
    spool = f"{joint.spool} / {joint.spool_b}" if joint.spool_b and joint.spool_b != joint.spool else joint.spool
    base = (joint.ring, joint.number, joint.attempt, joint.kind, weld.symbol, joint.size, joint.location, spool,
            joint.procedure, joint.heat_a, joint.heat_b)  # fmt: skip
    return (*base, joint.stamps, weld.welded, weld.accepted, joint.ring.state) if built else (*base, joint.ring.state)
