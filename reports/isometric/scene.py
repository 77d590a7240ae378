"""What stands on the sheet before any label: pipes with their crossings, symbols, welds, and the room they take."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import dist
from statistics import median

from reports.drawing import Line, Point, Shape
from reports.isometric.drawn import Isometric, Leg, Place, Weld, key
from reports.isometric.layout import Layout
from reports.isometric.placement.flat import Box, Stroke, around, strokes_cross
from reports.isometric.placement.grid import Grid
from reports.isometric.placement.obstacles import Obstacles
from reports.isometric.projection import nearness, project
from reports.isometric.skew import parts, planes, skew_runs
from reports.isometric.symbols import (
    BREAK,
    HATCHED,
    NO_LINE,
    PIPE,
    across,
    break_marks,
    flow_arrow,
    leg_box,
    leg_shapes,
    shifted,
    support,
    unit,
    weld_box,
    weld_shapes,
)

BEHIND = 4.5  # points left open on either side of a pipe that passes in front
POINTED = 8.0  # a leader points no nearer than this to a crossing or a break
ARROW_FROM, SHORTENED = 52.0, 2.2
HATCH = 5.0
CLEAR = 1.6  # between a pipe and what is written

Node = tuple[int, int, int]


@dataclass(slots=True)
class Scene:
    """Fixed shapes, and apart those of each weld; `fixed` is what no label may cover, `strokes` the pipes of it.

    broken  legs that are left open or crossed, with from where to where along them
    """

    shapes: list[Shape] = field(default_factory=list)
    welds: list[tuple[Weld, Point, list[Shape]]] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    shortened: list[Point] = field(default_factory=list)
    directions: dict[Node, list[Point]] = field(default_factory=lambda: defaultdict(list))
    fixed: Obstacles = field(default_factory=lambda: Obstacles(CLEAR))
    broken: list[tuple[Stroke, list[tuple[float, float]]]] = field(default_factory=list)

    def fix(self, box: Box) -> None:
        """Keep a box free of labels."""
        self.fixed.add_box(box)

    def whole(self, at: Point) -> Point:
        """The nearest point of a leg to which a leader may point: not where it is left open or crossed."""
        for stroke, shut in self.broken:
            if _on(at, stroke):
                length, along = dist(stroke[:2], stroke[2:]), dist(stroke[:2], at)
                if not any(first < along < last for first, last in shut):
                    return at
                ends = [end for part in shut for end in part if 0 < end < length]
                free = [end for end in ends if not any(first < end < last for first, last in shut)]
                share = min(free, key=lambda end: abs(end - along), default=along)
                return shifted(stroke[:2], unit(stroke[:2], stroke[2:]), share)
        return at

    def fix_stroke(self, stroke: Stroke) -> None:
        """Keep a pipe free of labels."""
        self.fixed.add_stroke(stroke)
        self.strokes.append(stroke)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A leg with its ends on the sheet and its nearness to the eye."""

    leg: Leg
    start: Point
    end: Point
    depths: tuple[float, float]

    @property
    def stroke(self) -> Stroke:
        """The leg as a stroke."""
        return (*self.start, *self.end)

    def depth(self, share: float) -> float:
        """Nearness to the eye part of the way along."""
        return self.depths[0] + share * (self.depths[1] - self.depths[0])


class Placed:
    """Places in space to points of the sheet, for one layout moved to the middle of the room it has."""

    def __init__(self, layout: Layout, legs: Sequence[Leg], room: Box) -> None:
        """Move the drawing of these legs to the middle of the room."""
        self.layout = layout
        points = tuple(project(layout.place(place)) for leg in legs for place in (leg.start, leg.end))
        self.extent = around(points)
        left, top, right, bottom = self.extent
        self._dx = (room[0] + room[2] - left - right) / 2
        self._dy = (room[1] + room[3] - top - bottom) / 2

    def point(self, place: Place) -> Point:
        """The point of a place."""
        return self.on_sheet(self.layout.place(place))

    def on_sheet(self, drawn: Place) -> Point:
        """The point of what stands there on the layout."""
        x, y = project(drawn)
        return x + self._dx, y + self._dy

    def drawn(self, leg: Leg) -> Drawn:
        """A leg on the sheet."""
        depths = nearness(self.layout.place(leg.start)), nearness(self.layout.place(leg.end))
        return Drawn(leg, self.point(leg.start), self.point(leg.end), depths)


def build(drawing: Isometric, placed: Placed, ghosts: Sequence[Leg] = ()) -> Scene:
    """Draw legs, welds and supports, and note what room they take; ghosts are legs of the neighbouring sheet."""
    scene = Scene()
    legs = [placed.drawn(leg) for leg in drawing.legs]
    ends = {key(weld.at) for weld in drawing.welds}
    for one in legs:
        scene.directions[key(one.leg.start)].append(unit(one.start, one.end))
        scene.directions[key(one.leg.end)].append(unit(one.end, one.start))
    gaps, crossed = _crossed(legs)
    typical = median([_shrinking(one) for one in legs if one.leg.kind == "pipe"] or [1.0])
    for number, one in enumerate(legs):
        _draw_leg(scene, one, gaps[number], typical, ends)
        _note_broken(scene, one, crossed[number])
    for ghost in ghosts:
        start, end = placed.point(ghost.start), placed.point(ghost.end)
        scene.shapes.append(Line(start, end, "map-line", PIPE / 2, (5, 3)))
        scene.fix_stroke((*start, *end))
    for run in skew_runs(drawing.legs):
        for first, last in parts(run, drawing.dimensions):
            # The run stays straight where its axes are stretched, so the corners are taken on the drawing.
            for triangle in planes(placed.layout.place(first), placed.layout.place(last)):
                _hatch(scene, *map(placed.on_sheet, triangle))
    for weld in drawing.welds:
        _draw_weld(scene, weld, placed.point(weld.at))
    for mark in drawing.marks:
        if mark.kind == "support":
            _draw_support(scene, legs, mark.at, placed.point(mark.at))
    return scene


def _draw_leg(scene: Scene, one: Drawn, gaps: list[float], typical: float, welds: set[Node]) -> None:
    leg, start, end = one.leg, one.start, one.end
    length, direction = dist(start, end), unit(start, end)
    scene.fix_stroke(one.stroke)
    box = leg_box(leg, start, end)
    if box is not None:
        scene.fix(box)
    scene.shapes += leg_shapes(leg, start, end, face_first=key(leg.start) not in welds and key(leg.end) in welds)
    if leg.kind in NO_LINE or length == 0:
        return
    open_parts = [(share * length - BEHIND, share * length + BEHIND) for share in gaps]
    if leg.kind == "pipe":
        cross = across(leg.start, leg.end)
        middle = _free(0.5, gaps, length)
        if middle is not None and length > 40 and _shrinking(one) > typical * SHORTENED:
            at = shifted(start, direction, middle * length)
            open_parts.append((middle * length - BREAK, middle * length + BREAK))
            scene.shapes += break_marks(at, direction, cross)
            scene.fix(around((at,), 6.0))
            scene.shortened.append(at)
        arrow = _free(0.28, gaps, length)
        if arrow is not None and length > ARROW_FROM:
            at = shifted(start, direction, arrow * length)
            head = flow_arrow(at, direction)
            scene.shapes.append(head)
            scene.fix(around(head.points))
    for first, last in _closed(open_parts, length):
        ends = shifted(start, direction, first), shifted(start, direction, last)
        scene.shapes.append(Line(*ends, "map-pipe", PIPE))


def _note_broken(scene: Scene, one: Drawn, crossed: Sequence[float]) -> None:
    """Where a leg is crossed, and where it has its break."""
    length = dist(one.start, one.end)
    at = [share * length for share in crossed]
    at += [dist(one.start, point) for point in scene.shortened[-1:] if _on(point, one.stroke)]
    if at:
        scene.broken.append((one.stroke, [(middle - POINTED, middle + POINTED) for middle in at]))


def _shrinking(one: Drawn) -> float:
    """Millimetres of pipe in one point of the drawing."""
    return dist(one.leg.start, one.leg.end) / max(dist(one.start, one.end), 1e-6)


def _free(share: float, gaps: Sequence[float], length: float) -> float | None:
    """The share of a leg nearest to the one wished for that is clear of crossings."""
    for way in (0.0, 0.12, -0.12, 0.24, -0.24):
        if all(abs(share + way - gap) * length > BEHIND + 6 for gap in gaps):
            return share + way
    return None


def _closed(open_parts: list[tuple[float, float]], length: float) -> list[tuple[float, float]]:
    """What is left of a leg when parts of it are left open."""
    found, at = [], 0.0
    for first, last in sorted(open_parts):
        if first > at:
            found.append((at, first))
        at = max(at, last)
    if at < length:
        found.append((at, length))
    return found


def _crossed(legs: Sequence[Drawn]) -> tuple[list[list[float]], list[list[float]]]:
    """For each leg the shares of its length at which another passes in front of it, and those at which any crosses."""
    grid = Grid(60.0)
    for number, one in enumerate(legs):
        grid.add(number, around((one.start, one.end)))
    gaps: list[list[float]] = [[] for _ in legs]
    crossed: list[list[float]] = [[] for _ in legs]
    for number, one in enumerate(legs):
        for other in grid.near(around((one.start, one.end))):
            if other > number and strokes_cross(one.stroke, legs[other].stroke):
                shares = _crossing(one.stroke, legs[other].stroke)
                if shares is not None:
                    mine, theirs = shares
                    hidden = one.depth(mine) < legs[other].depth(theirs)
                    gaps[number if hidden else other].append(mine if hidden else theirs)
                    crossed[number].append(mine)
                    crossed[other].append(theirs)
    return gaps, crossed


def _crossing(one: Stroke, other: Stroke) -> tuple[float, float] | None:
    """Shares of two strokes at which they cross inside; none for strokes that only touch or are parallel."""
    ax, ay, bx, by = one
    cx, cy, dx, dy = other
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(cross) < 1e-6:
        return None
    mine = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
    theirs = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / cross
    inside = 1e-6 < mine < 1 - 1e-6 and 1e-6 < theirs < 1 - 1e-6
    return (mine, theirs) if inside else None


def _draw_weld(scene: Scene, weld: Weld, at: Point) -> None:
    directions = scene.directions.get(key(weld.at)) or [(1.0, 0.0)]
    direction = directions[0]
    upright = abs(direction[0]) < 1e-6
    cross = unit((0.0, 0.0), project((1.0, 0.0, 0.0))) if upright else (0.0, 1.0)
    shapes = weld_shapes(weld.joint.kind, weld.joint.location, at, direction, cross)
    scene.welds.append((weld, at, shapes))
    scene.fix(weld_box(weld.joint.location, at, shapes))


def _draw_support(scene: Scene, legs: Sequence[Drawn], place: Place, at: Point) -> None:
    upright = any(abs(one.start[0] - one.end[0]) < 1e-6 and _on(at, one.stroke) for one in legs)
    scene.shapes += support(at, upright=upright)
    x, y = at
    scene.fix((x - 1, y - 5, x + 8, y + 5) if upright else (x - 5, y - 1, x + 5, y + 8))


def _on(point: Point, stroke: Stroke) -> bool:
    return abs(dist(stroke[:2], point) + dist(point, stroke[2:]) - dist(stroke[:2], stroke[2:])) < 0.01


def _hatch(scene: Scene, corner: Point, first: Point, second: Point) -> None:
    """A right-angled triangle over its first side, outlined and hatched up to the pipe."""
    lines = [(first, corner), (corner, second)]
    count = max(2, int(dist(corner, first) / HATCH))
    for turn in range(1, count):
        share = turn / count
        foot = (first[0] + (corner[0] - first[0]) * share, first[1] + (corner[1] - first[1]) * share)
        lines.append((foot, (foot[0] + (second[0] - corner[0]) * share, foot[1] + (second[1] - corner[1]) * share)))
    for start, end in lines:
        scene.shapes.append(Line(start, end, "map-fine", HATCHED))
        scene.fix_stroke((*start, *end))
