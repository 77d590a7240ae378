"""The findings on paper: what was measured, against which limit, by which arithmetic and source."""

from reports.data import FindingRow, FindingsData
from reports.page import Book
from reports.table import Column, Table
from rules.codes import finding_called

COLUMNS = (
    Column("Severity", 14, "bold"),
    Column("Joint", 27, "bold"),
    Column("Att.", 8),
    Column("Finding", 68),
    Column("Measured", 20),
    Column("Limit", 20),
    Column("Arithmetic", 46),
    Column("Source", 44),
    Column("Record", 20),
)


def findings_pdf(data: FindingsData) -> bytes:
    """The findings as a PDF."""
    book = Book(data.paper, data.title)
    draw_findings(book, data)
    return book.finish()


def draw_findings(book: Book, data: FindingsData) -> None:
    """The findings in a book; an override stands under its finding."""
    book.start(data.title, landscape=True)
    table = Table(book, COLUMNS)
    count = 0
    for row in data.rows:
        count += 1
        _finding(table, row)
    if not count:
        table.note("No open finding in this scope.")


def _finding(table: Table, row: FindingRow) -> None:
    source = f"{row.source} ({row.source_state})" if row.source_state and row.source else row.source
    cells = (
        row.severity,
        row.joint,
        row.attempt,
        f"{row.message}\n{finding_called(row.code)}",
        row.measured,
        row.limit,
        row.arithmetic,
        source,
        row.record,
    )
    table.row(cells, inks={0: "stop", 4: "stop"} if row.severity == "stop" and not row.override else {})
    if row.override:
        table.note(f"Override: {row.override}")
