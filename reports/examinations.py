"""Results of examinations on paper; the inspector's verdict counts, the computed one stands beside it."""

from reports.data import ExaminationsData
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (
    Column("Joint", 27, "bold"),
    Column("Att.", 8),
    Column("Method", 13),
    Column("Date", 19),
    Column("Examiner", 28),
    Column("Result", 18, "bold"),
    Column("Report", 24),
    Column("Measured", 40),
    Column("Computed verdict", 30),
    Column("Acceptance", 36),
    Column("Remark", 28),
)


def examinations_pdf(data: ExaminationsData) -> bytes:
    """Results of examinations as a PDF."""
    book = Book(data.paper, data.title)
    draw_examinations(book, data)
    return book.finish()


def draw_examinations(book: Book, data: ExaminationsData) -> None:
    """Results of examinations in a book."""
    book.start(data.title, landscape=True)
    table = Table(book, COLUMNS)
    count = 0
    for row in data.rows:
        count += 1
        cells = (
            row.joint,
            row.attempt,
            row.method,
            row.date,
            row.examiner,
            row.result,
            row.report,
            row.measured,
            row.computed,
            row.acceptance,
            row.remark,
        )
        table.row(cells, inks={5: "stop"} if row.result == "rejected" else {})
    if not count:
        table.note("No examination recorded in this scope.")
