"""The weld log on paper: one row an attempt, with its ring."""

from reports.data import WeldLogData
from reports.legend import draw_legend
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (
    Column("", 4.5),
    Column("Joint", 22.5, "bold"),
    Column("Att.", 7),
    Column("Kind", 18.5),
    Column("Size", 24),
    Column("Where", 12),
    Column("Spool", 16.5),
    Column("Heats", 25),
    Column("Procedure", 13.5),
    Column("Stamps", 24),
    Column("Filler lot", 15),
    Column("Welded", 19),
    Column("Examinations", 35),
    Column("State", 16),
)


def weld_log_pdf(data: WeldLogData) -> bytes:
    """The weld log as a PDF."""
    book = Book(data.paper, data.title)
    draw_weld_log(book, data)
    return book.finish()


def draw_weld_log(book: Book, data: WeldLogData) -> None:
    """The weld log in a book."""
    book.start(data.title, landscape=True)
    draw_legend(book, flags=False)
    table = Table(book, COLUMNS)
    count = table.rows(
        (
            row.ring,
            row.joint,
            row.attempt,
            row.kind,
            row.size,
            row.location,
            row.spool,
            row.heats,
            row.procedure,
            row.stamps,
            row.filler,
            row.date,
            row.examinations,
            row.state,
        )
        for row in data.rows
    )
    if not count:
        table.note("No joint in this scope.")
