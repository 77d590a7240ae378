"""The pen for paper: shapes and text on a reportlab canvas, in points from the top left corner of the sheet."""

from collections.abc import Iterable
from functools import cache
from typing import Any, Final

from reportlab.lib.colors import HexColor

from reports.drawing import Arc, Circle, Disc, Line, Point, Polygon, Shape, Words
from reports.letters import font, pieces, width

GRAPHITE: Final = HexColor("#22272B")
THIN_LINE: Final = HexColor("#7E858B")
SMALL_TEXT: Final = HexColor("#5B6268")
ACCEPTED: Final = HexColor("#0B6A63")
OUT_OF_LIMITS: Final = HexColor("#B5341B")
BAND: Final = HexColor("#D9D7CE")  # light enough under a line, dark enough for a photocopy
PAPER: Final = HexColor("#FFFFFF")
THICK, THIN = 1.0, 0.4  # the two line weights, in points; ISO 128 asks for 2 to 1 or more
MM: Final = 72 / 25.4
REMEMBERED = 20_000  # texts; a long log has some thousand different ones

COLOURS: Final = {
    "ring-fill": ACCEPTED,
    "ring-strike": OUT_OF_LIMITS,
    "section-thin": THIN_LINE,
    "section-hatch": THIN_LINE,
    "dial-line": THIN_LINE,
    "map-thin": THIN_LINE,
    "small": SMALL_TEXT,
    "section-limits": SMALL_TEXT,
    "stop": OUT_OF_LIMITS,
    "curve-band": BAND,
    "curve-thin": THIN_LINE,
    "curve-words": SMALL_TEXT,
    "curve-plan": SMALL_TEXT,
}


class Pen:
    """Draws on one canvas whose sheet is `height` points high.

    Text and lines are written as PDF operators: a long list is mostly these, and this is four times as fast as asking
    the canvas to format each of them.
    """

    def __init__(self, canvas: Any, height: float) -> None:
        """Take the canvas; set `height` again whenever a sheet of another size begins."""
        self.canvas = canvas
        self.height = height
        self._runs: dict[tuple[str, str], list[tuple[str, str]]] = {}

    def line(self, start: Point, end: Point, weight: float = THIN, ink: str = "") -> None:
        """A straight stroke."""
        self.canvas.addLiteral(
            f"{_operand(ink)} RG {weight:.3g} w {start[0]:.2f} {self.height - start[1]:.2f} m "
            f"{end[0]:.2f} {self.height - end[1]:.2f} l S"
        )

    def box(self, left: float, top: float, right: float, bottom: float, weight: float = THIN) -> None:
        """An outlined rectangle."""
        self.canvas.addLiteral(
            f"{_operand('')} RG {weight:.3g} w {left:.2f} {self.height - bottom:.2f} {right - left:.2f} "
            f"{bottom - top:.2f} re S"
        )

    def text(
        self, at: Point, text: str, size: float, face: str = "plain", anchor: str = "start", ink: str = ""
    ) -> None:
        """Text on its base line, in the faces that have its letters."""
        if not text:
            return
        x, y = at[0], self.height - at[1]
        if anchor != "start":
            x -= width(text, size, face) / (2 if anchor == "middle" else 1)
        runs = " ".join(f"{name} {size:g} Tf <{glyphs}> Tj" for name, glyphs in self._encoded(text, face))
        self.canvas.addLiteral(f"BT {_operand(ink)} rg 1 0 0 1 {x:.2f} {y:.2f} Tm {runs} ET")

    def _encoded(self, text: str, face: str) -> list[tuple[str, str]]:
        """The text as font resources and glyph codes in hex, remembered because lists repeat themselves."""
        known = self._runs.get((text, face))
        if known is None:
            document = self.canvas._doc  # reportlab hands out glyph codes a document, and only with it
            known = [
                (font(use).getSubsetInternalName(subset, document), bytes(codes).hex())
                for use, run in pieces(text, face)
                for subset, codes in font(use).splitString(run, document)
            ]
            if len(self._runs) > REMEMBERED:
                self._runs.clear()
            self._runs[text, face] = known
        return known

    def shapes(self, shapes: Iterable[Shape], at: Point = (0.0, 0.0), scale: float = 1.0) -> None:
        """Shapes with their origin at a point of the sheet, enlarged by `scale`."""
        canvas = self.canvas
        canvas.saveState()
        canvas.translate(at[0], self.height - at[1])
        canvas.scale(scale, scale)
        for shape in shapes:
            _draw(canvas, shape)
        canvas.restoreState()


@cache
def _operand(ink: str) -> str:
    """The colour of a role as three PDF numbers."""
    colour = COLOURS.get(ink, GRAPHITE)
    return f"{colour.red:.4g} {colour.green:.4g} {colour.blue:.4g}"


def _draw(canvas: Any, shape: Shape) -> None:
    """One shape in a system whose origin is top left; y turns upwards here and nowhere else."""
    colour = COLOURS.get(shape.ink, PAPER if shape.ink.endswith("paper") else GRAPHITE)
    canvas.setStrokeColor(colour)
    canvas.setFillColor(colour)
    if not isinstance(shape, Words | Disc):
        canvas.setLineWidth(shape.width)
    match shape:
        case Line():
            canvas.setDash(list(shape.dash))
            canvas.line(shape.start[0], -shape.start[1], shape.end[0], -shape.end[1])
        case Circle():
            canvas.setDash([])
            stroked = int(bool(shape.width))
            canvas.circle(shape.centre[0], -shape.centre[1], shape.radius, stroke=stroked, fill=1 - stroked)
        case Arc():
            canvas.setDash([])
            (x, y), r = shape.centre, shape.radius
            # reportlab measures counter-clockwise from 3 o'clock
            canvas.arc(x - r, -y - r, x + r, -y + r, 90 - shape.start - shape.sweep, shape.sweep)
        case Polygon():
            canvas.setDash(list(shape.dash))
            path = _path(canvas, shape.points, closed=shape.closed)
            canvas.drawPath(path, stroke=int(not shape.filled), fill=int(shape.filled))
        case Disc():
            path = _path(canvas, shape.hole, closed=True)
            path.circle(shape.centre[0], -shape.centre[1], shape.radius)
            canvas.drawPath(path, stroke=0, fill=1, fillMode=0)  # even-odd: the paper shows through the hole
        case Words():
            Pen(canvas, 0.0).text(shape.at, shape.text, shape.size, shape.face, shape.anchor, shape.ink)


def _path(canvas: Any, points: tuple[Point, ...], *, closed: bool) -> Any:
    path = canvas.beginPath()
    path.moveTo(points[0][0], -points[0][1])
    for x, y in points[1:]:
        path.lineTo(x, -y)
    if closed:
        path.close()
    return path
