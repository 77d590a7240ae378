"""The title block: the data fields of ISO 7200 in the lower right corner, or one strip of them on further sheets."""

from typing import Final, Protocol

from reports.data import TitleBlock
from reports.ink import MM, THIN, Pen
from reports.letters import shorten, width, wrap

WIDE: Final = 180 * MM
LABEL, SMALLEST = 5.0, 5.5
STRIP_HIGH: Final = 6 * MM
BETWEEN: Final = "  ·  "

Field = tuple[str, str, float, float, str]  # label, value, share of the row, size, face


class Frame(Protocol):
    """The frame of a sheet, in points from its top left corner."""

    @property
    def left(self) -> float:
        """Left edge."""

    @property
    def right(self) -> float:
        """Right edge."""

    @property
    def bottom(self) -> float:
        """Lower edge."""


def fields(title: TitleBlock) -> list[tuple[float, list[Field]]]:
    """Rows of the block, each with its height in mm; shares of a row add up to 180."""
    return [
        (
            8,
            [
                ("Legal owner", title.owner, 62, 8, "plain"),
                ("Job", title.job, 62, 8, "plain"),
                ("Document type", title.kind, 36, 8, "plain"),
                ("Status", title.status, 20, 8, "plain"),
            ],
        ),
        (
            13,
            [
                ("Title", title.title, 124, 12, "bold"),
                ("Document number", title.number, 56, 11, "bold"),
            ],
        ),
        (
            8,
            [
                ("Code and edition used", title.edition, 62, 8, "plain"),
                ("Made by", title.creator, 31, 8, "plain"),
                ("Approved by", title.approver, 31, 8, "plain"),
                ("Date of issue", title.issued, 20, 8, "plain"),
                ("Rev.", title.revision, 9, 8, "bold"),
                ("Sheet", title.sheet, 12, 8, "plain"),
                ("Page", "", 15, 8, "bold"),
            ],
        ),
    ]


def draw_block(pen: Pen, frame: Frame, title: TitleBlock) -> float:
    """Draw the whole block in the lower right corner of the frame and return its upper edge."""
    wide = min(WIDE, frame.right - frame.left)
    left = frame.right - wide
    rows = fields(title)
    top = frame.bottom - sum(high for high, _ in rows) * MM
    if left > frame.left + 1:
        pen.line((left, top), (left, frame.bottom), THIN * 2)
    level = top
    for high, row in rows:
        pen.line((left, level), (frame.right, level), THIN * 2 if level == top else THIN)
        x = left
        for label, value, share, size, face in row:
            room = share / 180 * wide
            if x > left:
                pen.line((x, level), (x, level + high * MM))
            pen.text((x + 1.2 * MM, level + 2.1 * MM), label, LABEL, "gothic", ink="small")
            supplement = title.supplement if label == "Title" else ""
            base = level + (high - 2.2 - (4.0 if supplement else 0)) * MM
            fitted(pen, (x + 1.2 * MM, base), value, room - 2.4 * MM, size, face)
            if supplement:
                fitted(pen, (x + 1.2 * MM, level + (high - 2.0) * MM), supplement, room - 2.4 * MM, 8, "plain")
            x += room
        level += high * MM
    return top


def draw_strip(pen: Pen, frame: Frame, title: TitleBlock) -> None:
    """Draw the strip of a further sheet along the lower edge of the frame; the page number is the book's."""
    top = frame.bottom - STRIP_HIGH
    pen.line((frame.left, top), (frame.right, top), THIN * 2)
    base = frame.bottom - 1.9 * MM
    revision = f"Rev. {title.revision}" if title.revision else ""
    parts = [title.title, title.supplement, title.number, revision, title.job, title.edition, title.issued]
    room = frame.right - frame.left - 28 * MM
    words = _shared([part for part in parts if part], room, 7.5)
    pen.text((frame.left + 2 * MM, base), BETWEEN.join(words), 7.5)


def _shared(parts: list[str], room: float, size: float) -> list[str]:
    """The parts side by side: short ones whole, long ones shortened alike."""
    room -= width(BETWEEN, size) * (len(parts) - 1)
    for taken, part in enumerate(sorted(parts, key=lambda part: width(part, size))):
        share = room / (len(parts) - taken)
        if width(part, size) > share:
            return [shorten(part, share, size) for part in parts]
        room -= width(part, size)
    return parts


def fitted(pen: Pen, at: tuple[float, float], text: str, room: float, size: float, face: str) -> None:
    """Text in the room it has: smaller if need be, then in two lines, shortened if that is not enough."""
    while size > SMALLEST and width(text, size, face) > room:
        size -= 0.5
    lines = wrap(text, room, size, face, 2)
    top = at[1] - (len(lines) - 1) * (size * 1.08 - 2.6)
    for place, line in enumerate(lines):
        pen.text((at[0], top + place * size * 1.08), line, size, face)
