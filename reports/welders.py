"""The welder register: who welded in this scope, under which stamp, and what they were qualified for."""

from reports.data import QualificationRow, WelderEntry, WelderRegisterData
from reports.list_paper import ListPaper, Section, draw_list_paper, list_paper_pdf
from reports.page import Book
from reports.table import Column

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


EMPTY = "No welder in this scope."


def welders_pdf(data: WelderRegisterData) -> bytes:
    """The welder register as a PDF."""
    return list_paper_pdf(as_list(data))


def draw_welders(book: Book, data: WelderRegisterData) -> None:
    """The welder register in a book."""
    draw_list_paper(book, as_list(data))


def as_list(data: WelderRegisterData, *, signatures: tuple[str, ...] = ()) -> ListPaper:
    """The welder register as a paper with a part for each stamp."""
    return ListPaper(data.title, map(_section, data.welders), EMPTY, signatures, data.paper)


def _section(welder: WelderEntry) -> Section:
    return Section(
        COLUMNS,
        map(_cells, welder.qualifications),
        "No qualification on record.",
        f"{welder.stamp}   {welder.name}",
        "  ·  ".join(part for part in (welder.employer, welder.period, welder.joints) if part),
    )


def _cells(item: QualificationRow) -> tuple[str, ...]:
    return (
        item.number,
        item.process,
        item.tested,
        item.materials,
        item.thickness,
        item.diameter,
        item.positions,
        item.valid,
    )
