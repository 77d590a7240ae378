"""The weld map: a line's pieces and joints in sequence, with rings, numbers, spools and heats, and its joint table."""

from functools import lru_cache

from reports.data import MapJoint, Ring, WeldMapData
from reports.drawing import Shape, Words
from reports.flag import field_flag
from reports.legend import draw_legend, legend_entries
from reports.letters import wrap
from reports.page import CAUTION, Book
from reports.ring import BOX, ring_shapes, ring_words
from reports.svg import group, moved, svg
from reports.table import Column, Table
from reports.weld_map_layout import HIGH, RING, Strip, cramped, strips

COLUMNS = (
    Column("", 4.5),
    Column("Joint", 22, "bold"),
    Column("Att.", 8),
    Column("Kind", 17),
    Column("Size", 26),
    Column("Where", 15),
    Column("Spool", 26),
    Column("Heat A", 26),
    Column("Heat B", 26),
    Column("Procedure", 22),
    Column("Stamps", 32),
    Column("State", 22),
)
PIECE_COLUMNS = (
    Column("Piece, written out", 60, "bold"),
    Column("Kind", 80),
    Column("Size", 60),
    Column("Heat", 60),
)
SVG_WIDE = 760.0


def weld_map_pdf(data: WeldMapData) -> bytes:
    """The weld map as a PDF, on A4 or A3 landscape or Letter."""
    book = Book(data.paper, data.title)
    draw_weld_map(book, data)
    return book.finish()


def draw_weld_map(book: Book, data: WeldMapData) -> None:
    """The weld map in a book: strips first, then the joint table, on a new sheet only if there is no room."""
    book.start(data.title, landscape=True)
    draw_legend(book, flags=True)
    level = book.area.top
    for strip in strips(data.runs, book.area.wide):
        if level + HIGH > book.area.bottom:
            book.next_sheet()
            level = book.area.top
        _place(book, strip, level)
        level += HIGH
    joints = [joint for run in data.runs for joint in run.joints]
    table = Table(book, COLUMNS, top=level + 4)
    table.rows(_cells(joint) for joint in joints)
    if not joints:
        table.note("No joint on this drawing.")
    long = cramped(data.runs, book.area.wide)
    if long:
        pieces = Table(book, PIECE_COLUMNS, top=table.level + 8)
        pieces.rows((piece.mark, piece.kind, piece.size, piece.heat) for piece in long)


# A page is looked at many times before a joint of its map goes on.
@lru_cache(maxsize=64)
def weld_map_svg(data: WeldMapData) -> str:
    """The strips of the weld map, its legend and its title as one SVG; remembered while nothing on it changes."""
    title = data.title
    head = "  ·  ".join(part for part in (title.title, title.supplement, title.number) if part)
    facts = (f"Sheet {title.sheet}" if title.sheet else "", f"Rev. {title.revision}" if title.revision else "")
    tail = "  ·  ".join(part for part in (*facts, title.job, title.edition, title.issued) if part)
    shapes: list[Shape] = [Words((10, 22), head, 13, face="bold"), Words((10, 37), tail, 9, ink="small")]
    body = []
    top = 48.0
    for strip in strips(data.runs, SVG_WIDE - 20):
        rings = "".join(_ring_group(ring, x, y, RING) for ring, (x, y) in strip.rings)
        body.append(moved(strip.shapes, (10, top), rings))
        top += HIGH
    for place, (ring, words) in enumerate(legend_entries()):
        x, y = 10 + 148.0 * (place % 5), top + 8 + 20.0 * (place // 5)
        if ring is None:
            shapes += field_flag(words, (x + 5, y + 13))
        else:
            body.append(_ring_group(ring, x, y, 14))
        shapes.append(Words((x + 19, y + 10), words, 9))
    top += 8 + 20.0 * ((len(legend_entries()) + 4) // 5) + 12
    for line in wrap(CAUTION, SVG_WIDE - 20, 8):
        shapes.append(Words((10, top), line, 8, ink="small"))
        top += 11
    name = f"Weld map {title.number}, {sum(len(run.joints) for run in data.runs)} joints in sequence"
    return svg(shapes, width=SVG_WIDE, height=top, title=name, kind="weld-map", inside="".join(body))


def _ring_group(ring: Ring, x: float, y: float, size: float) -> str:
    return group(ring_shapes(ring, size * 1.6), at=(x, y), scale=size / BOX, title=ring_words(ring))


def _place(book: Book, strip: Strip, level: float) -> None:
    book.pen.shapes(strip.shapes, (book.area.left, level))
    for ring, (x, y) in strip.rings:
        book.ring(ring, book.area.left + x, level + y, RING)


def _cells(joint: MapJoint) -> tuple[str | Ring, ...]:
    spool = f"{joint.spool} / {joint.spool_b}" if joint.spool_b and joint.spool_b != joint.spool else joint.spool
    return (
        joint.ring,
        joint.number,
        joint.attempt,
        joint.kind,
        joint.size,
        joint.location,
        spool,
        joint.heat_a,
        joint.heat_b,
        joint.procedure,
        joint.stamps,
        joint.ring.state,
    )
