"""The legend of rings and flags, in the corner that the title block of a landscape sheet leaves free."""

from reports.data import Ring
from reports.flag import field_flag
from reports.ink import MM
from reports.page import Book
from reports.ring import legend
from reports.title_block import WIDE

ROWS = 4


def legend_entries(*, flags: bool = True) -> list[tuple[Ring | None, str]]:
    """Rings with their words, then the two flags, which have no ring."""
    *states, second = legend()
    entries: list[tuple[Ring | None, str]] = [(ring, ring.state) for ring in states]
    entries.append((second, "2nd attempt"))
    return [*entries, (None, "field"), (None, "field-fit")] if flags else entries


def draw_legend(book: Book, *, flags: bool) -> None:
    """Draw the legend left of the title block of the sheet just begun."""
    left = book.frame.left + 3 * MM
    step = (book.frame.right - WIDE - left - 1 * MM) / 3
    top = book.area.bottom + 5 * MM
    for place, (ring, words) in enumerate(legend_entries(flags=flags)):
        x, y = left + step * (place // ROWS), top + 15 * (place % ROWS)
        if ring is None:
            book.pen.shapes(field_flag(words, (x + 3, y + 10)))
        else:
            book.ring(ring, x, y, 11)
        book.pen.text((x + 15, y + 8), words, 6.5)
