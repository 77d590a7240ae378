"""Results of examinations on paper; the inspector's verdict counts, the computed one stands beside it."""

from reports.data import ExaminationRow, ExaminationsData
from reports.list_paper import ListPaper, Section, draw_list_paper, list_paper_pdf
from reports.page import Book
from reports.table import Column

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


EMPTY = "No examination recorded in this scope."
_RESULT = 5


def examinations_pdf(data: ExaminationsData) -> bytes:
    """Results of examinations as a PDF."""
    return list_paper_pdf(as_list(data))


def draw_examinations(book: Book, data: ExaminationsData) -> None:
    """Results of examinations in a book."""
    draw_list_paper(book, as_list(data))


def as_list(data: ExaminationsData, *, signatures: tuple[str, ...] = ()) -> ListPaper:
    """Results of examinations as a paper of one table."""
    section = Section(COLUMNS, map(_cells, data.rows), EMPTY, marked=(_RESULT, "rejected"))
    return ListPaper(data.title, (section,), EMPTY, signatures, data.paper)


def _cells(row: ExaminationRow) -> tuple[str, ...]:
    return (
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
