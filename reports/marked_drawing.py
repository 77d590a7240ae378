"""The marks of joints on somebody else's drawing: the same on the screen and over the pages of its PDF."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import dist
from xml.sax.saxutils import escape, quoteattr

from pikepdf import Array, Name, Page, Pdf, Stream
from reportlab.pdfgen.canvas import Canvas

from reports.certificates import SAVE
from reports.data import Ring
from reports.drawing import Circle, Line, Point, Polygon, Shape, Words
from reports.drawing_pages import seen_box, seen_size, turn_of
from reports.ink import Pen
from reports.letters import font, width
from reports.ring import BOX, ring_shapes, ring_words
from reports.svg import element, group

RING = 21.0  # side of a ring's square in points, on a sheet of A3; it grows with the sheet
TEXT = 12.0
DOT = 2.6
A3_LONG = 1190.0


@dataclass(frozen=True, slots=True)
class Marked:
    """One joint on a page: where its weld is and where its ring stands, in points from the page's top left corner."""

    number: str
    ring: Ring
    at: Point
    label: Point
    href: str = ""
    name: str = ""  # what finds the mark again in the page
    is_to_confirm: bool = False


def marked_pdf(original: bytes, marks: Mapping[int, Sequence[Marked]]) -> bytes:
    """The drawing with marks laid over its pages; the streams of the original stay byte for byte as they are.

    marks   by page, from 1; a page that the drawing does not have is left out
    """
    with Pdf.open(BytesIO(original)) as pdf:
        for number, page in enumerate(pdf.pages, start=1):
            if found := marks.get(number):
                _lay(pdf, page, found)
        out = BytesIO()
        pdf.save(out, deterministic_id=True, **SAVE)
    return out.getvalue()


def _lay(pdf: Pdf, page: Page, marks: Sequence[Marked]) -> None:
    """Draw marks over a page, in the page's own coordinates whatever its turn and its crop."""
    wide, high = seen_size(page)
    with Pdf.open(BytesIO(_overlay(marks, wide, high))) as drawn:
        form = pdf.copy_foreign(Page(drawn.pages[0]).as_form_xobject())
    name = page.add_resource(form, Name.XObject, Name.SpoolbookMarks)
    matrix = " ".join(f"{part:.4f}" for part in placement(page))
    before = Stream(pdf, b"q\n")
    after = Stream(pdf, f"\nQ q {matrix} cm {name} Do Q\n".encode())
    contents = page.obj.get("/Contents")
    own = list(contents) if isinstance(contents, Array) else [contents] if contents is not None else []
    page.obj.Contents = Array([pdf.make_indirect(before), *own, pdf.make_indirect(after)])


def placement(page: Page) -> tuple[float, float, float, float, float, float]:
    """The matrix that takes what is drawn upright on the page as it is seen to the page's own coordinates."""
    left, bottom, right, top = seen_box(page)
    match turn_of(page):
        case 90:
            return 0, 1, -1, 0, right, bottom
        case 180:
            return -1, 0, 0, -1, right, top
        case 270:
            return 0, -1, 1, 0, left, top
    return 1, 0, 0, 1, left, bottom


def _overlay(marks: Sequence[Marked], wide: float, high: float) -> bytes:
    out = BytesIO()
    canvas = Canvas(out, pagesize=(wide, high), invariant=1, initialFontName=font("plain").fontName)
    pen = Pen(canvas, high)
    size = size_of(wide, high)
    for mark in marks:
        pen.shapes(_lines(mark, size))
        pen.shapes(_label(mark, size))
        left, top = _corner(mark, size)
        pen.shapes(ring_shapes(mark.ring, size * 1.6), at=(left, top), scale=size / BOX)
    canvas.save()
    return out.getvalue()


def marked_svg(
    marks: Sequence[Marked], *, picture: str, wide: float, high: float, name: str, is_open: Callable[[Marked], bool]
) -> str:
    """A page on the screen: its picture with the marks over it, each a link to its joint.

    picture  the address of the page's picture
    is_open  whether a mark may be dragged; it then has handles
    """
    size = size_of(wide, high)
    body = "".join(_drawn(mark, size, is_open=is_open(mark)) for mark in marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="isometric marked" role="group" aria-label={quoteattr(name)} '
        f'viewBox="0 0 {wide:g} {high:g}" data-size="{size:.2f}"><image href={quoteattr(picture)} width="{wide:g}" '
        f'height="{high:g}" preserveAspectRatio="none"/>{body}</svg>'
    )


def _drawn(mark: Marked, size: float, *, is_open: bool) -> str:
    words = f"Joint {mark.number}, {ring_words(mark.ring)}{', to confirm' if mark.is_to_confirm else ''}"
    classes = "iso-joint mark is-to-confirm" if mark.is_to_confirm else "iso-joint mark"
    ring = group(ring_shapes(mark.ring, size * 1.6), at=_corner(mark, size), scale=size / BOX, title=words)
    label = "".join(element(shape) for shape in _label(mark, size))
    lines = "".join(element(shape) for shape in _lines(mark, size))
    x, y = mark.at
    handle = f'<circle class="mark-place" cx="{x:.2f}" cy="{y:.2f}" r="{size / 2:.2f}"/>' if is_open else ""
    there = f'data-at="{x:.2f} {y:.2f}" data-label="{mark.label[0]:.2f} {mark.label[1]:.2f}"'
    data = f"data-mark={quoteattr(mark.name)} {there}"
    return (
        f"<g {data}>{lines}{handle}"
        f'<a class="{classes}" href={quoteattr(mark.href)} aria-label={quoteattr(words)}><title>{escape(words)}</title>'
        f"{label}{ring}</a></g>"
    )


def size_of(wide: float, high: float) -> float:
    """The side of a ring on a page, in points: larger on larger sheets, which are shown and printed smaller."""
    return RING * max(0.6, max(wide, high) / A3_LONG)


def _corner(mark: Marked, size: float) -> Point:
    return mark.label[0] - size / 2, mark.label[1] - size / 2


def _lines(mark: Marked, size: float) -> list[Shape]:
    """The dot on the weld, and the leader from it to the ring where they stand apart."""
    scale = size / RING
    shapes: list[Shape] = [Circle(mark.at, DOT * scale, "map-line")]
    apart = dist(mark.at, mark.label)
    if apart > size / 2:
        share = 1 - size / 2 / apart
        end = mark.at[0] + (mark.label[0] - mark.at[0]) * share, mark.at[1] + (mark.label[1] - mark.at[1]) * share
        shapes.append(Line(mark.at, end, "map-line", 0.7 * scale))
    if mark.is_to_confirm:
        shapes.append(Circle(mark.at, DOT * 3 * scale, "stop", 1.2 * scale))
    return shapes


def _label(mark: Marked, size: float) -> list[Shape]:
    """The number right of the ring, on a ground that keeps it readable over whatever is drawn there."""
    text = TEXT * size / RING
    left, middle = mark.label[0] - size / 2, mark.label[1]
    right = mark.label[0] + size / 2 + width(mark.number, text, "bold") + 5 * size / RING
    half = size / 2
    ground = ((left, middle - half), (right, middle - half), (right, middle + half), (left, middle + half))
    return [
        Polygon(ground, "mark-paper", filled=True),
        Words((mark.label[0] + half + 1.5, middle + text * 0.36), mark.number, text, "start", "bold"),
    ]
