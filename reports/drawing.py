"""Shapes of a drawing as plain values, so that one geometry serves the screen and the paper.

Coordinates run right and down, as in SVG; a pen (`reports.svg`, `reports.ink`) turns shapes into marks. Angles are
degrees clockwise from 12 o'clock, as on the face of a clock. An `ink` names the role of a shape; each pen knows how a
role looks.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, radians, sin

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke; `dash` lists on and off lengths."""

    start: Point
    end: Point
    ink: str
    width: float
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, stroked with `width` or, without a width, filled."""

    centre: Point
    radius: float
    ink: str
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle from `start`, `sweep` degrees clockwise; never a whole turn."""

    centre: Point
    radius: float
    start: float
    sweep: float
    ink: str
    width: float


@dataclass(frozen=True, slots=True)
class Polygon:
    """Straight-sided outline through `points`; stroked with `width`, filled where `filled`."""

    points: tuple[Point, ...]
    ink: str
    width: float = 0.0
    closed: bool = True
    filled: bool = False
    dash: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Disc:
    """A filled circle with a polygon left open in it, through which the paper shows."""

    centre: Point
    radius: float
    hole: tuple[Point, ...]
    ink: str


@dataclass(frozen=True, slots=True)
class Words:
    """Text on its base line; `anchor` is start, middle or end, `face` plain, bold, mono or gothic."""

    at: Point
    text: str
    size: float
    anchor: str = "start"
    face: str = "plain"
    ink: str = "text"


Shape = Line | Circle | Arc | Polygon | Disc | Words


def clock_point(centre: Point, radius: float, angle: float) -> Point:
    """Point of a circle at an angle in degrees clockwise from 12 o'clock."""
    turn = radians(angle)
    return centre[0] + radius * sin(turn), centre[1] - radius * cos(turn)


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> list[Shape]:
    """The same shapes, shifted right by dx and down by dy."""
    return [_moved(shape, dx, dy) for shape in shapes]


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    def shift(point: Point) -> Point:
        return point[0] + dx, point[1] + dy

    def shift_all(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple(shift(point) for point in points)

    match shape:
        case Line():
            return replace(shape, start=shift(shape.start), end=shift(shape.end))
        case Polygon():
            return replace(shape, points=shift_all(shape.points))
        case Disc():
            return replace(shape, centre=shift(shape.centre), hole=shift_all(shape.hole))
        case Words():
            return replace(shape, at=shift(shape.at))
        case Circle():
            return replace(shape, centre=shift(shape.centre))
        case Arc():
            return replace(shape, centre=shift(shape.centre))
