"""The welder register: who welded in this scope, under which stamp, and what they were qualified for."""

from reports.data import WelderRegisterData
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (
    Column("Qualification", 34, "bold"),
    Column("Process", 20),
    Column("Tested", 20),
    Column("P- and F-Numbers", 40),
    Column("Deposit", 32),
    Column("Outside diameter", 32),
    Column("Positions", 46),
    Column("Valid", 50),
)


def welders_pdf(data: WelderRegisterData) -> bytes:
    """The welder register as a PDF."""
    book = Book(data.paper, data.title)
    draw_welders(book, data)
    return book.finish()


def draw_welders(book: Book, data: WelderRegisterData) -> None:
    """The welder register in a book."""
    book.start(data.title, landscape=True)
    table = Table(book, COLUMNS)
    count = 0
    for welder in data.welders:
        count += 1
        aside = "  ·  ".join(part for part in (welder.employer, welder.period, welder.joints) if part)
        table.band(f"{welder.stamp}   {welder.name}", aside)
        for item in welder.qualifications:
            table.row(
                (
                    item.number,
                    item.process,
                    item.tested,
                    item.materials,
                    item.thickness,
                    item.diameter,
                    item.positions,
                    item.valid,
                )
            )
        if not welder.qualifications:
            table.note("No qualification on record.", ink="stop")
    if not count:
        table.note("No welder in this scope.")
