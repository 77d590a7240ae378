"""What stands on the sheet before any label: pipes with their crossings, symbols, welds, and the room they take."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import dist
from statistics import median

from reports.drawing import Line, Point, Shape
from reports.isometric.drawn import Isometric, Leg, Place, Weld, key
from reports.isometric.flow import arrows, free_share, straight_runs
from reports.isometric.layout import Layout
from reports.isometric.placement.flat import Box, Stroke, around, strokes_cross
from reports.isometric.placement.grid import Grid
from reports.isometric.placement.obstacles import Obstacles
from reports.isometric.projection import along, nearness, project
from reports.isometric.skew import parts, planes, skew_runs
from reports.isometric.symbols import (
    BREAK,
    FOOT,
    HATCHED,
    NO_LINE,
    PIPE,
    across,
    break_marks,
    flow_arrow,
    leg_outline,
    leg_shapes,
    shifted,
    support,
    unit,
    weld_box,
    weld_shapes,
)

BEHIND = 4.5  # points left open on either side of a pipe that passes in front
POINTED = 8.0  # a leader points no nearer than this to a crossing or a break
BROKEN_FROM, SHORTENED = 40.0, 2.2  # points of a pipe that has room for a break, and how much shorter than its like
HATCH = 5.0
CLEAR = 1.6  # between a pipe and what is written

Node = tuple[int, int, int]


@dataclass(slots=True)
class Scene:
    """Fixed shapes, and apart those of each weld; `fixed` is what no label may cover, `strokes` the pipes of it.

    broken  legs that are left open or crossed, with from where to where along them
    runs    the straight runs along each axis
    feet    of each support its foot, and the way from there to the pipe
    """

    shapes: list[Shape] = field(default_factory=list)
    welds: list[tuple[Weld, Point, list[Shape]]] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    shortened: list[Point] = field(default_factory=list)
    directions: dict[Node, list[Point]] = field(default_factory=lambda: defaultdict(list))
    fixed: Obstacles = field(default_factory=lambda: Obstacles(CLEAR))
    broken: list[tuple[Stroke, list[tuple[float, float]]]] = field(default_factory=list)
    runs: tuple[list[Stroke], ...] = field(default_factory=lambda: ([], [], []))
    feet: dict[Node, tuple[Point, Point]] = field(default_factory=dict)

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
        corners = [project(layout.place(place)) for leg in legs for place in (leg.start, leg.end)]
        self.extent = around((*corners, *map(project, layout.hatched())))
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
    supports = [mark.at for mark in drawing.marks if mark.kind == "support"]
    meeting: defaultdict[Node, list[Drawn]] = defaultdict(list)
    for one in legs:
        for node, start, end in ((key(one.leg.start), one.start, one.end), (key(one.leg.end), one.end, one.start)):
            scene.directions[node].append(unit(start, end))
            meeting[node].append(one)
    gaps, crossed = _crossed(legs)
    typical = median([_shrinking(one) for one in legs if one.leg.kind == "pipe"] or [1.0])
    breaks = [_break_at(one, gaps[number], typical) for number, one in enumerate(legs)]
    runs = straight_runs(drawing.legs)
    for numbers in runs:
        axis = along(drawing.legs[numbers[0]].start, drawing.legs[numbers[0]].end)
        if axis is not None:
            scene.runs[axis].append((*legs[numbers[0]].start, *legs[numbers[-1]].end))
    heads = _heads(runs, legs, crossed, breaks, [placed.point(at) for at in supports])
    for number, one in enumerate(legs):
        _draw_leg(scene, one, gaps[number], breaks[number], ends)
        if number in heads:
            _draw_head(scene, one, heads[number])
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
        _draw_weld(scene, weld, placed.point(weld.at), meeting[key(weld.at)])
    for place in supports:
        scene.feet[key(place)] = _draw_support(scene, legs, placed.point(place))
    return scene


def _draw_leg(scene: Scene, one: Drawn, gaps: list[float], middle: float | None, welds: set[Node]) -> None:
    leg, start, end = one.leg, one.start, one.end
    length, direction = dist(start, end), unit(start, end)
    scene.fix_stroke(one.stroke)
    outline = leg_outline(leg, start, end)
    if outline:
        scene.fixed.add_box(around(outline, 0.6), outline)
    scene.shapes += leg_shapes(leg, start, end, face_first=key(leg.start) not in welds and key(leg.end) in welds)
    if leg.kind in NO_LINE or length == 0:
        return
    open_parts = [(share * length - BEHIND, share * length + BEHIND) for share in gaps]
    if middle is not None:
        at = shifted(start, direction, middle * length)
        open_parts.append((middle * length - BREAK, middle * length + BREAK))
        scene.shapes += break_marks(at, direction, across(leg.start, leg.end))
        scene.fix(around((at,), 6.0))
        scene.shortened.append(at)
    for first, last in _closed(open_parts, length):
        ends = shifted(start, direction, first), shifted(start, direction, last)
        scene.shapes.append(Line(*ends, "map-pipe", PIPE))


def _break_at(one: Drawn, gaps: Sequence[float], typical: float) -> float | None:
    """The share of a pipe at which it is broken, if it is drawn much shorter than its like."""
    length = dist(one.start, one.end)
    if one.leg.kind != "pipe" or length <= BROKEN_FROM or _shrinking(one) <= typical * SHORTENED:
        return None
    return free_share(0.5, gaps, length)


def _heads(
    runs: Sequence[Sequence[int]],
    legs: Sequence[Drawn],
    crossed: Sequence[list[float]],
    breaks: Sequence[float | None],
    supports: Sequence[Point],
) -> dict[int, float]:
    """How far along its leg each flow arrow stands."""
    shut = [[*some, *([] if middle is None else [middle])] for some, middle in zip(crossed, breaks, strict=True)]
    for at in supports:
        for number, one in enumerate(legs):
            if _on(at, one.stroke):
                shut[number].append(dist(one.start, at) / max(dist(one.start, one.end), 1e-6))
    lengths = [dist(one.start, one.end) if one.leg.kind == "pipe" else 0.0 for one in legs]
    return arrows(runs, lengths, shut)


def _draw_head(scene: Scene, one: Drawn, along: float) -> None:
    direction = unit(one.start, one.end)
    head = flow_arrow(shifted(one.start, direction, along), direction)
    scene.shapes.append(head)
    scene.fix(around(head.points))


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


def _draw_weld(scene: Scene, weld: Weld, at: Point, meeting: Sequence[Drawn]) -> None:
    """The mark of a weld; a socket's cup opens to the pipe that goes into it, square to it as it is seen."""
    one = next((one for one in meeting if one.leg.kind == "pipe"), meeting[0] if meeting else None)
    direction, cross = (1.0, 0.0), (0.0, 1.0)
    if one is not None:
        start, end = (one.start, one.end) if key(one.leg.start) == key(weld.at) else (one.end, one.start)
        direction, cross = unit(start, end), across(one.leg.start, one.leg.end)
    shapes = weld_shapes(weld.joint.kind, weld.joint.location, at, direction, cross)
    scene.welds.append((weld, at, shapes))
    scene.fix(weld_box(weld.joint.location, at, shapes))


def _draw_support(scene: Scene, legs: Sequence[Drawn], at: Point) -> tuple[Point, Point]:
    """A foot under the pipe; where it stands, and the way from there to the pipe."""
    upright = any(abs(one.start[0] - one.end[0]) < 1e-6 and _on(at, one.stroke) for one in legs)
    scene.shapes += support(at, upright=upright)
    x, y = at
    scene.fix((x - 1, y - 5, x + 8, y + 5) if upright else (x - 5, y - 1, x + 5, y + 8))
    return ((x + FOOT, y), (-1.0, 0.0)) if upright else ((x, y + FOOT), (0.0, -1.0))


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
