"""The book that papers are printed in: sheets with frame, caution line and page numbers, on one canvas."""

import re
from dataclasses import dataclass
from io import BytesIO
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from reports.data import Ring, TitleBlock
from reports.ink import MM, THICK, Pen
from reports.letters import font, width, wrap
from reports.ring import BOX, ring_shapes
from reports.title_block import STRIP_HIGH, draw_block, draw_strip

SIZES: Final = {
    "A4": (210 * MM, 297 * MM),
    "A3": (297 * MM, 420 * MM),
    "Letter": (8.5 * 72, 11 * 72),
    "Tabloid": (11 * 72, 17 * 72),
}
FILING, MARGIN = 20 * MM, 10 * MM  # ISO 5457: the wide margin is for filing
PADDING = 3 * MM
CAUTION: Final = (
    "Spoolbook records and computes; it does not replace the code of record, the owner's specification, the engineer "
    "or the qualified inspector."
)


@dataclass(frozen=True, slots=True)
class Area:
    """Room on a sheet, in points from its top left corner."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def wide(self) -> float:
        """Width in points."""
        return self.right - self.left


class Book:
    """Pages of one or more papers; every sheet carries frame, title block, page x of y and the caution.

    `area` is the room left on the current sheet, above its title. How many pages there are is known only at the end:
    that number is drawn once, as a form that each page refers to.
    """

    def __init__(self, paper: str, about: TitleBlock, *, pages: int | None = None) -> None:
        """Open a book.

        paper   "A4", "A3", "Letter" or "Tabloid"
        about   whose title, creator and date the file's properties take; a date not in ISO form is left at 2000-01-01
        pages   the number of pages if others are bound in, else the book's own
        Raises  ValueError for an unknown paper size
        """
        if paper not in SIZES:
            raise ValueError(f"Paper {paper!r} is not known; choose {', '.join(SIZES)}.")
        self.paper = paper
        self.page = 0
        self.numbers: list[int] = []  # the page number of each sheet drawn, in the order of drawing
        self.pages = pages
        self.title: TitleBlock | None = None
        self._landscape = False
        self._out = BytesIO()
        self._canvas = Canvas(
            self._out, invariant=1, pageCompression=1, lang="en", initialFontName=font("plain").fontName
        )
        self._canvas.setTitle(f"{about.title} {about.number}".strip())
        self._canvas.setAuthor(about.creator)
        self._canvas.setSubject(f"{about.kind}, {about.job}, {about.edition}")
        self._canvas.setCreator("Spoolbook")
        self._canvas.setProducer("Spoolbook")
        self._canvas.setDateFormatter(_stamped(about.issued))
        self._rings: dict[tuple[Ring, float], str] = {}
        self.pen = Pen(self._canvas, 0.0)
        self.area = self.frame = Area(0, 0, 0, 0)

    def start(self, title: TitleBlock, *, landscape: bool = False) -> None:
        """Begin a paper on a new sheet that carries the whole title block."""
        self.title, self._landscape = title, landscape
        self._sheet()
        bottom = draw_block(self.pen, self.frame, title)
        self._number(self.frame.right - 15 * MM / 2, self.frame.bottom - 2.2 * MM, 7.5, "middle")
        self._room(bottom)

    def next_sheet(self) -> None:
        """Go on with the same paper on a sheet that carries the title in one strip."""
        if self.title is None:
            raise ValueError("A book starts with a paper before it has a next sheet.")
        self._sheet()
        draw_strip(self.pen, self.frame, self.title)
        self._number(self.frame.right - 2 * MM, self.frame.bottom - 1.9 * MM, 7.5, "end")
        self._room(self.frame.bottom - STRIP_HIGH)

    def leave(self, pages: int) -> None:
        """Leave numbers free behind the current sheet for pages that come from elsewhere or are drawn later."""
        self.page += pages

    def turn_back(self, page: int) -> None:
        """Draw the next sheet as the one after this page number."""
        self.page = page

    def ring(self, ring: Ring, left: float, top: float, size: float) -> None:
        """The ring of a joint in a square of `size` points."""
        name = self._rings.get((ring, size))
        if name is None:
            name = f"ring{len(self._rings)}"
            self._rings[ring, size] = name
            self._canvas.beginForm(name, 0, 0, size, size)
            inner = Pen(self._canvas, size)
            inner.shapes(ring_shapes(ring, size * 1.6), scale=size / BOX)  # print shows finer lines than a screen
            self._canvas.endForm()
        self._form(name, left, top + size)

    @property
    def page_count(self) -> int:
        """How many pages there are, so far or, once `pages` is set, in the end."""
        return self.page if self.pages is None else self.pages

    def finish(self) -> bytes:
        """Close the book and return the PDF."""
        self._canvas.showPage()
        total = str(self.page_count)
        self._canvas.beginForm("pages", 0, -5, 60, 20)
        Pen(self._canvas, 0.0).text((0, 0), total, 7.5, "bold")
        self._canvas.endForm()
        self._canvas.save()
        return self._out.getvalue()

    def _sheet(self) -> None:
        if self.numbers:
            self._canvas.showPage()
        self.page += 1
        self.numbers.append(self.page)
        across, down = SIZES[self.paper]
        if self._landscape:
            across, down = down, across
        self._canvas.setPageSize((across, down))
        self.pen.height = down
        self.frame = Area(FILING, MARGIN, across - MARGIN, down - MARGIN)
        self.pen.box(self.frame.left, self.frame.top, self.frame.right, self.frame.bottom, THICK)
        self._caution()

    def _caution(self) -> None:
        level = self.frame.bottom + 8.5
        for line in wrap(CAUTION, self.frame.wide, 6):
            self.pen.text((self.frame.left, level), line, 6, ink="small")
            level += 7.5

    def _number(self, x: float, y: float, size: float, anchor: str) -> None:
        """ "3 of 12" with the 12 still to come."""
        font("bold")
        text = f"{self.page} of "
        digits = len(str(self.pages or self.page)) if self.pages else 3
        room = width(text, size, "bold") + digits * width("0", size, "bold")
        x -= room / 2 if anchor == "middle" else room
        self.pen.text((x, y), text, size, "bold")
        self._form("pages", x + width(text, size, "bold"), y)

    def _form(self, name: str, left: float, base: float) -> None:
        """Put a form with its lower left corner at a point of the sheet."""
        self._canvas.addLiteral(f"q 1 0 0 1 {left:.2f} {self.pen.height - base:.2f} cm")
        self._canvas.doForm(name)
        self._canvas.addLiteral("Q")

    def _room(self, bottom: float) -> None:
        frame = self.frame
        self.area = Area(frame.left + PADDING, frame.top + PADDING, frame.right - PADDING, bottom - PADDING)


def _stamped(issued: str) -> "_Stamp":
    found = re.match(r"(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d):(\d\d))?", issued)
    return _Stamp([int(part) for part in found.groups(default="0")] if found else [2000, 1, 1, 0, 0])


class _Stamp:
    """Tells reportlab the date of issue instead of the time of day."""

    def __init__(self, parts: list[int]) -> None:
        self.parts = parts

    def __call__(self, *_now: object) -> str:
        return "D:{:04d}{:02d}{:02d}{:02d}{:02d}00Z".format(*self.parts)
