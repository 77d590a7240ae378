"""The simplified symbols of pipe, fittings, flanges, valves and welds, in points about a place of the sheet.

After ISO 6412 as remembered: one thick line whatever the diameter, a dot for a weld, a cross stroke for what can be
taken apart. What it does not settle (socket, field weld, valve) is common practice, no source; the legend tells it.
"""

from collections.abc import Sequence
from math import dist, hypot

from reports.drawing import Circle, Line, Point, Polygon, Shape
from reports.isometric.drawn import Leg, Place
from reports.isometric.placement.flat import Box, around
from reports.isometric.projection import AXES, along, project

PIPE, HEAVY, LEADER, FINE, HATCHED = 1.5, 0.9, 0.5, 0.4, 0.3
DOT = 2.3  # radius
CROSS = 3.6
FACE = 5.2
WIDE, NARROW = 4.6, 2.0  # half of a reducer's ends
HEAD_LONG, HEAD_HALF = 5.5, 1.0  # of a dimension line
NO_LINE = (
    "gasket",
    "valve",
    "instrument",
    "olet",
    "reducer",
    "eccentric",
    "coupling",
)  # their symbol stands in place of the pipe


def unit(start: Point, end: Point) -> Point:
    """Direction from a point to another."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy) or 1.0
    return dx / length, dy / length


def shifted(point: Point, direction: Point, length: float) -> Point:
    """The point a length further in a direction."""
    return point[0] + direction[0] * length, point[1] + direction[1] * length


def across(start: Place, end: Place) -> Point:
    """Direction of a stroke across a pipe: upright for a level pipe, to the east for an upright one."""
    axis = along(start, end)
    if axis is None:
        dx, dy = unit(project(start), project(end))
        return -dy, dx
    return unit((0.0, 0.0), project((1.0, 0.0, 0.0))) if axis == 2 else (0.0, 1.0)


def _across(leg: Leg) -> Point:
    """Direction across a leg's symbol; of an eccentric reducer the way it steps aside, so that one side is flat."""
    if leg.kind != "eccentric":
        return across(leg.start, leg.end)
    aside = aside_of(leg)
    return across(leg.start, leg.end) if aside is None else unit((0.0, 0.0), project(AXES[aside]))


def aside_of(leg: Leg) -> int | None:
    """The axis along which an eccentric reducer steps aside; none if that is along no axis."""
    steps = sorted((abs(a - b), axis) for axis, (a, b) in enumerate(zip(leg.start, leg.end, strict=True)))
    return steps[1][1] if steps[0][0] < 0.005 < steps[1][0] else None


def leg_shapes(leg: Leg, start: Point, end: Point, *, face_first: bool) -> list[Shape]:
    """The symbol of a leg that is no plain pipe; `face_first` for a flange whose face is at its start."""
    direction, cross = unit(start, end), _across(leg)
    match leg.kind:
        case "flange":
            face, back = (start, 1.0) if face_first else (end, -1.0)
            return [_stroke(shifted(face, direction, back), cross, FACE, PIPE)]
        case "valve":
            return _valve(start, end, cross)
        case "instrument":
            middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            ends = [
                Line(at, shifted(middle, direction, side), "map-pipe", PIPE) for at, side in ((start, -6), (end, 6))
            ]
            return [*ends, Circle(middle, 6.0, "map-line", HEAVY)]
        case "reducer" | "eccentric":
            wide, narrow = (start, end) if leg.narrows > 0 else (end, start)
            outline = (*_ends(wide, cross, WIDE), *reversed(_ends(narrow, cross, NARROW)))
            return [Polygon(outline, "map-line", HEAVY)]
        case "coupling":
            return [Polygon((*_ends(start, cross, 3.0), *reversed(_ends(end, cross, 3.0))), "map-line", HEAVY)]
        case "cap":
            top, foot = _ends(end, cross, 4.2)
            cup = (shifted(top, direction, -3.2), top, foot, shifted(foot, direction, -3.2))
            return [Polygon(cup, "map-line", PIPE, closed=False)]
        case "olet":
            return [Polygon((*_ends(shifted(start, direction, 1.5), cross, 3.8),
                             *reversed(_ends(end, cross, 2.0))), "map-line", HEAVY)]  # fmt: skip
    return []


def _valve(start: Point, end: Point, cross: Point) -> list[Shape]:
    half = _valve_half(start, end)
    (a, b), (c, d) = _ends(start, cross, half), _ends(end, cross, half)
    return [Polygon((a, b, c, d), "map-line", HEAVY)]


def _valve_half(start: Point, end: Point) -> float:
    return min(8.0, max(5.0, 0.22 * dist(start, end)))


def weld_shapes(kind: str, location: str, at: Point, direction: Point, cross: Point) -> list[Shape]:
    """The mark of a weld on the pipe: a dot, a socket's cup, a pad's ring; crossed where it is made in the field."""
    shapes: list[Shape]
    match kind:
        case "socket" | "slip-on":
            top, foot = _ends(at, cross, CROSS)
            cup = (shifted(top, direction, 2.6), top, foot, shifted(foot, direction, 2.6))
            shapes = [Polygon(cup, "map-line", HEAVY, closed=False)]
        case "pad":
            shapes = [Circle(at, DOT + 1.2, "map-line", HEAVY)]
        case "seal" | "attachment":
            x, y = at
            shapes = [Polygon(((x, y - 3), (x + 3, y + 2.4), (x - 3, y + 2.4)), "map-line", filled=True)]
        case _:
            shapes = [Circle(at, DOT, "map-line")]
    if location != "shop":
        x, y = at
        arm = 4.0
        shapes.append(Line((x - arm, y - arm), (x + arm, y + arm), "map-line", HEAVY))
        shapes.append(Line((x - arm, y + arm), (x + arm, y - arm), "map-line", HEAVY))
    if location == "field-fit":
        shapes.append(Circle(at, 5.6, "map-line", HEAVY))
    return shapes


def weld_box(location: str, at: Point, shapes: Sequence[Shape]) -> Box:
    """The room that a weld's mark takes; the corners of a socket's cup reach further than its dot."""
    reach = {"shop": 3.8, "field": 4.4}.get(location, 6.0)
    corners = [point for shape in shapes if isinstance(shape, Polygon) for point in shape.points]
    return around((shifted(at, (-1.0, -1.0), reach), shifted(at, (1.0, 1.0), reach), *corners))


def leg_outline(leg: Leg, start: Point, end: Point) -> tuple[Point, ...]:
    """The corners of what a leg's symbol takes beside the centreline, round about; none where it has no symbol."""
    reach = {"flange": FACE, "valve": 5.0, "instrument": 6.0, "reducer": WIDE, "eccentric": WIDE, "coupling": 3.0,
             "cap": 4.2, "olet": 3.8}  # fmt: skip
    if leg.kind not in reach:
        return ()
    half = _valve_half(start, end) if leg.kind == "valve" else reach[leg.kind]
    return (*_ends(start, _across(leg), half), *reversed(_ends(end, _across(leg), half)))


def flow_arrow(at: Point, direction: Point) -> Polygon:
    """An arrow head on the pipe, in the direction of flow."""
    tip, back = shifted(at, direction, 4.0), shifted(at, direction, -4.0)
    left, right = _ends(back, (-direction[1], direction[0]), 3.0)
    return Polygon((tip, left, right), "map-line", filled=True)


def break_marks(at: Point, direction: Point, cross: Point) -> list[Shape]:
    """Two strokes across a pipe that is drawn shorter than its like; the pipe is left open between them."""
    slant = (cross[0] * 0.8 + direction[0] * 0.35, cross[1] * 0.8 + direction[1] * 0.35)
    return [_stroke(shifted(at, direction, side), slant, 5.0, HEAVY) for side in (-BREAK, BREAK)]


BREAK = 1.6  # half of the room between break marks


FOOT = 7.0  # from the pipe to the foot of a support


def support(at: Point, *, upright: bool) -> list[Shape]:
    """A foot under the pipe, or beside an upright one."""
    x, y = at
    if upright:
        x += FOOT
        return [Line(at, (x, y), "map-line", HEAVY), Line((x, y - 4), (x, y + 4), "map-line", HEAVY)]
    y += FOOT
    return [Line(at, (x, y), "map-line", HEAVY), Line((x - 4, y), (x + 4, y), "map-line", HEAVY)]


def north_arrow(at: Point) -> list[Shape]:
    """An arrow to the north with its letter's place left free at the tip; `at` is its foot."""
    direction = unit((0.0, 0.0), project((0.0, 1.0, 0.0)))
    tip = shifted(at, direction, 34.0)
    left, right = _ends(shifted(tip, direction, -8.0), (-direction[1], direction[0]), 3.2)
    return [Line(at, tip, "map-line", HEAVY), Polygon((tip, left, right), "map-line", filled=True)]


def dimension_head(tip: Point, direction: Point) -> Shape:
    """The slim filled head of a dimension line, pointing in a direction."""
    left, right = _ends(shifted(tip, direction, -HEAD_LONG), (-direction[1], direction[0]), HEAD_HALF)
    return Polygon((tip, left, right), "map-fine", filled=True)


def _ends(middle: Point, direction: Point, half: float) -> tuple[Point, Point]:
    return shifted(middle, direction, -half), shifted(middle, direction, half)


def _stroke(middle: Point, direction: Point, half: float, weight: float) -> Line:
    first, last = _ends(middle, direction, half)
    return Line(first, last, "map-line", weight)
