"""The heat list: heats of base metal and lots of filler, with their certificates and the joints they are in."""

from reports.data import HeatListData
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (
    Column("Heat", 28, "bold"),
    Column("Material", 28),
    Column("Maker", 28),
    Column("Item", 28),
    Column("Certificate", 26),
    Column("Chemistry, % by weight", 64),
    Column("Strength", 34),
    Column("Joints", 34),
)
FILLER_COLUMNS = (
    Column("Filler lot", 28, "bold"),
    Column("Classification", 40),
    Column("Diameter", 20),
    Column("Heat", 30),
    Column("Certificate", 36),
    Column("Joints", 60),
)


def heats_pdf(data: HeatListData) -> bytes:
    """The heat list as a PDF."""
    book = Book(data.paper, data.title)
    draw_heats(book, data)
    return book.finish()


def draw_heats(book: Book, data: HeatListData) -> None:
    """The heat list in a book: base metal, then filler."""
    book.start(data.title, landscape=True)
    table = Table(book, COLUMNS)
    count = table.rows(
        (row.heat, row.material, row.maker, row.item, row.certificate, row.chemistry, row.strength, row.joints)
        for row in data.rows
    )
    if not count:
        table.note("No heat in this scope.")
    fillers = Table(book, FILLER_COLUMNS, top=table.level + 12)
    count = fillers.rows(
        (row.lot, row.classification, row.diameter, row.heat, row.certificate, row.joints) for row in data.fillers
    )
    if not count:
        fillers.note("No filler lot in this scope.")
