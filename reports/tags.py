"""Tags for spools and joints: labels with a square code that opens the page, on bought sheets of labels."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import groupby
from typing import Any, Final

import segno
from reportlab.pdfgen.canvas import Canvas

from reports.ink import MM, Pen
from reports.letters import font, shorten, width
from reports.page import SIZES

QUIET: Final = 4  # modules left white round a square code, ISO/IEC 18004
PAD: Final = 2.5 * MM
LEAST_SHARE: Final = 0.7  # of its size, to which a line shrinks before it is shortened
SMALL_MODULE: Final = 0.33 * MM  # below it a phone in a shop reads badly: common practice, no source


@dataclass(frozen=True, slots=True)
class Labels:
    """A sheet of labels: `across` by `down` of them, each `wide` by `high` points, in the middle of the paper."""

    words: str
    paper: str
    across: int
    down: int
    wide: float
    high: float
    between: float = 0.0

    @property
    def count(self) -> int:
        """How many labels a sheet has."""
        return self.across * self.down

    def corner(self, place: int) -> tuple[float, float]:
        """Left and top of a label in points, counted from 0 row by row."""
        row, column = divmod(place, self.across)
        paper_wide, paper_high = SIZES[self.paper]
        left = (paper_wide - self.across * self.wide - (self.across - 1) * self.between) / 2
        top = (paper_high - self.down * self.high) / 2
        return left + column * (self.wide + self.between), top + row * self.high


# Sizes that labels are commonly sold in: common practice, no source. Print at actual size.
LABELS: Final = {
    "a4-8": Labels("A4, 8 labels of 99 × 68 mm", "A4", 2, 4, 99 * MM, 67.7 * MM, 2.5 * MM),
    "a4-24": Labels("A4, 24 labels of 70 × 36 mm", "A4", 3, 8, 70 * MM, 36 * MM),
    "letter-10": Labels("Letter, 10 labels of 4 × 2 in", "Letter", 2, 5, 4 * 72, 2 * 72, 0.19 * 72),
    "letter-30": Labels("Letter, 30 labels of 2-5/8 × 1 in", "Letter", 3, 10, 2.625 * 72, 72, 0.125 * 72),
}


@dataclass(frozen=True, slots=True)
class Tag:
    """What one label says: its name in large letters, lines below, and the address in its square code."""

    name: str
    lines: tuple[str, ...]
    address: str


def tags_pdf(title: str, tags: Sequence[Tag], labels: Labels, *, first: int = 1) -> bytes:
    """Return the tags as a PDF without frames, ready for the sheet of labels.

    title   the title in the file's properties
    tags    at least one
    first   the label to begin with, counted from 1 row by row, for a sheet that is partly used
    Raises  ValueError without tags, and for a first label that the sheet does not have
    """
    if not tags:
        raise ValueError("There is no tag to print.")
    if not 1 <= first <= labels.count:
        raise ValueError(f"The sheet has labels 1 to {labels.count}; {first} is none of them.")
    out = BytesIO()
    canvas = Canvas(
        out, SIZES[labels.paper], invariant=1, pageCompression=1, lang="en", initialFontName=font("plain").fontName
    )
    canvas.setTitle(title)
    canvas.setCreator("Spoolbook")
    canvas.setProducer("Spoolbook")
    pen = Pen(canvas, SIZES[labels.paper][1])
    for number, tag in enumerate(tags, first - 1):
        if number >= labels.count and number % labels.count == 0:
            canvas.showPage()
        _tag(canvas, pen, tag, labels, labels.corner(number % labels.count))
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _tag(canvas: Any, pen: Pen, tag: Tag, labels: Labels, corner: tuple[float, float]) -> None:
    left, top = corner
    side = min(labels.high, labels.wide / 2.2) - PAD
    _square_code(canvas, pen, tag.address, left + PAD / 2, top + (labels.high - side) / 2, side)
    x = left + side + PAD
    room = left + labels.wide - PAD - x
    large = min(20.0, labels.high / 6)
    small = min(10.0, labels.high / 11)
    lines = tag.lines[: int((labels.high - 2 * PAD - large) / (small * 1.3))]
    level = top + (labels.high - large - len(lines) * small * 1.3) / 2 + large * 0.85
    pen.text((x, level), shorten(tag.name, room, large, "bold", keep_end=True), large, "bold")
    for line in lines:
        level += small * 1.3
        size = max(small * LEAST_SHARE, min(small, 0.999 * small * room / max(width(line, small), 1)))
        pen.text((x, level), shorten(line, room, size), size)


def _square_code(canvas: Any, pen: Pen, text: str, left: float, top: float, side: float) -> None:
    """A square code with its quiet zone, as black runs row by row; error correction M unless that makes it too fine."""
    code = segno.make(text, micro=False, error="m", boost_error=False)
    if side / (len(code.matrix) + 2 * QUIET) < SMALL_MODULE:
        code = segno.make(text, micro=False, error="l", boost_error=False)
    module = side / (len(code.matrix) + 2 * QUIET)
    runs = []
    for row, modules in enumerate(code.matrix):
        base = pen.height - top - (QUIET + row + 1) * module
        for column, length in _dark(modules):
            x = left + (QUIET + column) * module
            runs.append(f"{x:.3f} {base:.3f} {length * module:.3f} {module:.3f} re")
    canvas.addLiteral("0 0 0 rg " + " ".join(runs) + " f")


def _dark(modules: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Where each run of dark modules of a row begins, and how many they are."""
    column = 0
    for is_dark, run in groupby(modules):
        length = len(list(run))
        if is_dark:
            yield column, length
        column += length
