"""What all sections share: hatching, dimension lines, notes and the room they take."""

from dataclasses import dataclass, field
from math import ceil

from reports.drawing import Line, Point, Polygon, Shape, Words

WIDTH = 360.0
TEXT = 12.0
SMALL = 10.5
ROW = 22.0  # height of one dimension line with its words
LETTER = 0.6  # widest average advance of B612 in em, so that estimated room is never too small
THICK, THIN = 1.6, 0.7
CENTRE_NOTE = "Distance to the centre line not to scale"


@dataclass(slots=True)
class Sheet:
    """A drawing being made: its shapes, the boxes its words take, and its size."""

    width: float = WIDTH
    height: float = 0.0
    shapes: list[Shape] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)

    def outline(self, *points: Point, hatch: str = "right") -> None:
        """A cut face: thick outline, hatched at 45 degrees; two parts that touch are hatched in opposite directions."""
        self.shapes += hatched(points, leaning=1 if hatch == "right" else -1)
        self.shapes.append(Polygon(tuple(points), "section-line", THICK))

    def dashed(self, *points: Point) -> None:
        """An outline of what is to be made: the weld."""
        self.shapes.append(Polygon(tuple(points), "section-weld", 1.2, dash=(4, 2.5)))

    def thin(self, start: Point, end: Point, dash: tuple[float, ...] = ()) -> None:
        """A thin line: extension, dimension, leader, centre line."""
        self.shapes.append(Line(start, end, "section-thin", THIN, dash))

    def words(self, at: Point, text: str, anchor: str = "start", size: float = TEXT, limits: str = "") -> None:
        """Words with, after them in small letters, the limits; the room taken is kept in `boxes`."""
        x, y = at
        room = len(text) * size * LETTER
        left = {"start": x, "middle": x - room / 2, "end": x - room}[anchor]
        self.shapes.append(Words(at, text, size, anchor, "plain", "section-words"))
        self.boxes.append((left, y - size * 0.8, left + room, y + size * 0.25))
        if limits:
            at = (left + room + 6, y)
            self.shapes.append(Words(at, limits, SMALL, "start", "plain", "section-limits"))
            self.boxes.append((at[0], y - SMALL * 0.8, at[0] + len(limits) * SMALL * LETTER, y + SMALL * 0.25))
        self.width = max(self.width, max(box[2] for box in self.boxes) + 4)

    def dimension(self, left: float, right: float, top: float, row: float, text: str, limits: str = "") -> None:
        """A dimension below the drawing, from extension lines at `left` and `right`; its words stand right of it."""
        for x in (left, right):
            self.thin((x, top), (x, row + 4))
        tick = 3.0
        if right - left < 12:  # too narrow for a line between: arrows from outside
            self.thin((left - 14, row), (left, row))
            self.thin((right, row), (right + 8, row))
        self.thin((left, row), (right, row))
        for x in (left, right):
            self.thin((x - tick, row + tick), (x + tick, row - tick))
        self.words((right + 12, row + 4), text, limits=limits)

    def centre_line(self, y: float) -> None:
        """The pipe's centre line, which is not to scale; `close` says so."""
        self.thin((8, y), (WIDTH - 8, y), (14, 3, 3, 3))

    def close(self, bottom: float, *notes: str) -> "Sheet":
        """Write the notes in rows of their own at the foot, fix the height and return the sheet."""
        for note in notes:
            self.words((12, bottom), note, size=SMALL)
            bottom += SMALL * 1.5
        self.height = ceil(bottom)
        return self


def hatched(points: tuple[Point, ...], leaning: int, spacing: float = 6.0) -> list[Shape]:
    """Thin parallel lines at 45 degrees inside an outline, by the even-odd rule."""
    turned = [(x, y * leaning) for x, y in points]
    sums = [x + y for x, y in turned]
    lines: list[Shape] = []
    level = ceil(min(sums) / spacing) * spacing + spacing / 2
    while level < max(sums):
        cuts = sorted(_cuts(turned, level))
        for (x1, y1), (x2, y2) in zip(cuts[::2], cuts[1::2], strict=False):
            lines.append(Line((x1, y1 * leaning), (x2, y2 * leaning), "section-hatch", 0.5))
        level += spacing
    return lines


def _cuts(points: list[Point], level: float) -> list[Point]:
    """Where the line x + y = level crosses the outline."""
    found = []
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
        a, b = x1 + y1 - level, x2 + y2 - level
        if (a < 0) != (b < 0):
            part = a / (a - b)
            found.append((x1 + (x2 - x1) * part, y1 + (y2 - y1) * part))
    return found


def fit(across: float, up: float, *, wide: float, high: float) -> float:
    """Scale in px a unit at which `across` by `up` fits into `wide` by `high`."""
    return min(wide / max(across, 1e-6), high / max(up, 1e-6))
