"""The heat list: heats of base metal and lots of filler, with their certificates and the joints they are in."""

from reports.data import HeatListData
from reports.list_paper import ListPaper, Section, draw_list_paper, list_paper_pdf
from reports.page import Book
from reports.table import Column

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


NO_HEAT = "No heat in this scope."


def heats_pdf(data: HeatListData) -> bytes:
    """The heat list as a PDF."""
    return list_paper_pdf(as_list(data))


def draw_heats(book: Book, data: HeatListData) -> None:
    """The heat list in a book: base metal, then filler."""
    draw_list_paper(book, as_list(data))


def as_list(data: HeatListData, *, signatures: tuple[str, ...] = ()) -> ListPaper:
    """The heat list as a paper of two tables."""
    heats = (
        (row.heat, row.material, row.maker, row.item, row.certificate, row.chemistry, row.strength, row.joints)
        for row in data.rows
    )
    fillers = (
        (row.lot, row.classification, row.diameter, row.heat, row.certificate, row.joints) for row in data.fillers
    )
    sections = Section(COLUMNS, heats, NO_HEAT), Section(FILLER_COLUMNS, fillers, "No filler lot in this scope.")
    return ListPaper(data.title, sections, NO_HEAT, signatures, data.paper)
