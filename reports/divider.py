"""The divider sheet before certificates: what kind they are, and what is bound in behind it."""

from collections.abc import Sequence
from dataclasses import replace

from reports.data import CertificateFile, CertificateSet, TitleBlock
from reports.ink import MM
from reports.letters import wrap
from reports.page import Book
from reports.table import Column, Table

COLUMNS = (
    Column("Certificate", 76, "bold"),
    Column("File as received", 58),
    Column("For", 32),
    Column("Pages", 14, anchor="end"),
)


def draw_divider(
    book: Book, title: TitleBlock, group: CertificateSet, listed: Sequence[tuple[CertificateFile, int]]
) -> None:
    """The divider in a book; `listed` are the certificates bound in, each with its number of pages."""
    book.start(replace(title, title=group.title, kind="Divider", supplement=title.supplement or title.title))
    pen, area = book.pen, book.area
    level = area.top + 22 * MM
    for line in wrap(group.title, area.wide - 8 * MM, 24, "bold", 3):
        pen.text((area.left + 4 * MM, level), line, 24, "bold")
        level += 28
    note = group.note or (
        "Bound in as received: what is printed on these pages was not changed, only links and scripts were taken off. "
        "A digital signature in a certificate holds only in the file as it was received."
    )
    for line in wrap(note, area.wide - 8 * MM, 10, lines=6):
        pen.text((area.left + 4 * MM, level), line, 10)
        level += 13
    table = Table(book, COLUMNS, top=level + 6 * MM)
    count = table.rows((file.label, file.name, file.used_by, str(pages)) for file, pages in listed)
    if not count:
        table.note("No certificate of this kind could be bound in; see what is missing.")
