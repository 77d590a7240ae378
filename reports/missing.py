"""What is missing before handover, grouped by kind."""

from reports.data import MissingData
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (Column("Subject", 62, "bold"), Column("What is missing", 118))


def missing_pdf(data: MissingData) -> bytes:
    """What is missing, as a PDF."""
    book = Book(data.paper, data.title)
    draw_missing(book, data)
    return book.finish()


def draw_missing(book: Book, data: MissingData) -> None:
    """What is missing, in a book; a heading wherever the group of the items changes."""
    book.start(data.title)
    table = Table(book, COLUMNS)
    group = None
    for item in data.items:
        if item.group != group:
            group = item.group
            table.band(group)
        table.row((item.subject, item.what))
    if group is None:
        table.note("Nothing that this job asks for is missing in this scope.")
