"""Lines to sign by hand: name, signature and date of each who signs."""

from collections.abc import Sequence
from typing import Final

from reports.ink import MM, THIN
from reports.page import Book

LABEL_WIDE: Final = 46 * MM
_HIGH, _OVER = 10.5 * MM, 3 * MM


def signatures_high(roles: Sequence[str]) -> float:
    """How much room the lines take, in points."""
    return len(roles) * _HIGH + _OVER if roles else 0.0


def draw_signatures(book: Book, roles: Sequence[str], level: float) -> None:
    """Draw the lines at the foot of the sheet, on a new one where it is full down to them.

    level   how far down the sheet is written
    """
    if level + signatures_high(roles) > book.area.bottom:
        book.next_sheet()
    area, pen = book.area, book.pen
    left, right = area.left + 4 * MM, area.right - 4 * MM
    step = (right - left - LABEL_WIDE) / 3
    for place, role in enumerate(roles):
        base = area.bottom - 4 * MM - (len(roles) - 1 - place) * _HIGH
        pen.text((left, base), role, 9, "gothic", ink="small")
        for column, words in enumerate(("Name", "Signature", "Date")):
            x = left + LABEL_WIDE + column * step
            pen.line((x, base), (x + step - 4 * MM, base), THIN)
            pen.text((x, base + 8), words, 6.5, "gothic", ink="small")
