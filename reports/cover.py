"""The front sheet of a turnover package."""

from reports.data import PackageCover, Ring
from reports.ink import MM, THIN
from reports.letters import wrap
from reports.page import Book
from reports.ring import BOX, ring_shapes
from reports.signatures import LABEL_WIDE, draw_signatures, signatures_high
from reports.title_block import fitted

_ENTRY, _REMARK = 9.5, 8.5
_FEWEST = 3  # lines of an entry that stand under its label before a sheet ends


def draw_cover(book: Book, cover: PackageCover) -> None:
    """The cover in a book: scope, client, counts, editions used, the journal's head and the caution."""
    book.start(cover.title)
    pen, area = book.pen, book.area
    left, right = area.left + 4 * MM, area.right - 4 * MM
    level = area.top + 18 * MM
    pen.shapes(ring_shapes(Ring("welded"), 120), (right - 26 * MM, area.top + 6 * MM), 24 * MM / BOX)
    for line in wrap(cover.title.title, right - left - 36 * MM, 25, "bold", 3):
        pen.text((left, level), line, 25, "bold")
        level += 30
    for line in wrap(cover.scope, right - left - 36 * MM, 13, lines=2):
        pen.text((left, level), line, 13)
        level += 17
    level = max(level, area.top + 36 * MM)
    for label, value in (("Job", cover.title.job), ("Client", cover.client), ("Site", cover.site)):
        level = _entry(book, level, label, [value] if value else [])
    for label, value in cover.counts:
        level = _entry(book, level, label, [value])
    level = _entry(book, level, "Editions used", list(cover.editions), _REMARK)
    level = _entry(book, level, "Remarks", list(cover.remarks), _REMARK)
    level = _journal(book, cover, level)
    if cover.signatures:
        draw_signatures(book, cover.signatures, level)


def _entry(book: Book, level: float, label: str, values: list[str], size: float = _ENTRY) -> float:
    """One labelled entry, over as many sheets as it takes; without a value nothing is drawn."""
    if not values:
        return level
    area, pen = book.area, book.pen
    left, right = area.left + 4 * MM, area.right - 4 * MM
    lines = [line for value in values for line in wrap(value, right - left - LABEL_WIDE, size)]
    leading = size + 2.5
    face = "plain" if any(sign.isdigit() for sign in label) else "gothic"  # Routed Gothic's 1 is a mere stroke
    labels = wrap(label, LABEL_WIDE - 4 * MM, 9, face, 4)
    begun = max(min(len(lines), _FEWEST) * leading, len(labels) * 12) + 7
    if level + begun > area.bottom:
        book.next_sheet()
        level = book.area.top
    pen.line((left, level), (right, level), THIN * 0.7, "map-thin")
    for place, line in enumerate(labels):
        pen.text((left, level + 12.5 + place * 12), line, 9, face, ink="small")
    labelled, level = level + len(labels) * 12, level + 12.5
    for line in lines:
        if level + 7 > book.area.bottom:
            book.next_sheet()
            labelled, level = 0.0, book.area.top + 12.5
        pen.text((left + LABEL_WIDE, level), line, size)
        level += leading
    return max(level - 12.5, labelled) + 7


def _journal(book: Book, cover: PackageCover, level: float) -> float:
    """The journal's head, in letters that can be typed off, and what it proves; on the sheet that is signed."""
    area, pen = book.area, book.pen
    left, right = area.left + 4 * MM, area.right - 4 * MM
    proof = (
        "Whoever keeps this sheet can prove later that no record behind this package was changed or removed: "
        f"verify_journal --job CODE --head {cover.journal.number}:HASH compares the job's journal with the head above."
    )
    words = wrap(proof, right - left - LABEL_WIDE, 8)
    high = 40 + len(words) * 10.5
    if level + high + signatures_high(cover.signatures) > area.bottom:
        book.next_sheet()
        level = book.area.top
    pen.line((left, level), (right, level), THIN * 2)
    pen.text((left, level + 12.5), "Journal head", 9, "gothic", ink="small")
    x = left + LABEL_WIDE
    pen.text((x, level + 12.5), f"entry {cover.journal.number}, {cover.journal.at}", 9.5)
    level += 26
    fitted(pen, (x, level), str(cover.journal), right - x, 8.5, "mono")
    level += 11
    for line in words:
        pen.text((x, level + 3), line, 8, ink="small")
        level += 10.5
    return level
