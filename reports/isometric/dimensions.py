"""Dimensions as chains beside the pipe: lines parallel to it, set off along an axis, with the words level in a gap."""

from collections.abc import Iterator, Sequence
from math import dist

from reports.drawing import Line, Point, Shape, Words
from reports.isometric.candidates import CROSSES_PIPE, Candidate, Label, weigh
from reports.isometric.drawn import Dimension, key
from reports.isometric.layout import TEXT
from reports.isometric.placement.flat import Box, Stroke, stroke_box, stroke_meets_box, strokes_cross, widened
from reports.isometric.projection import AXES, along, project
from reports.isometric.scene import Placed, Scene
from reports.isometric.symbols import FINE, dimension_head, shifted, unit
from reports.letters import width

AWAY = (19.0, 25.0, 32.0, 40.0, 50.0, 62.0, 76.0, 92.0, 112.0)
FROM, BEYOND = 4.5, 2.5  # extension lines begin off the pipe and end beyond the dimension line
BESIDE = 5.0  # a dimension line along a pipe stays this far from it
HALF_HIGH, GAP_HIGH = 4.4, 6.0  # of the words, and of the gap in a slanting line around them
ENOUGH = 12  # places of a chain
LEFT = 7.0  # least length of an extension line

Chain = tuple[Dimension, ...]


def chains(dimensions: Sequence[Dimension]) -> list[Chain]:
    """Dimensions that follow each other along one axis, together."""
    found: list[list[Dimension]] = []
    for one in dimensions:
        last = found[-1][-1] if found else None
        follows = last is not None and key(last.end) == key(one.start)
        if follows and last is not None and _heading(last) == _heading(one) is not None:
            found[-1].append(one)
        else:
            found.append([one])
    return [tuple(chain) for chain in found]


def _heading(one: Dimension) -> tuple[int, bool] | None:
    axis = along(one.start, one.end)
    return None if axis is None else (axis, one.end[axis] > one.start[axis])


def candidates(chain: Chain, placed: Placed, scene: Scene, room: Box) -> list[Candidate]:
    """The places of a chain that cover no pipe and no symbol, cheapest first; where there is none, none."""
    points = [placed.point(chain[0].start), *(placed.point(one.end) for one in chain)]
    offsets = list(_offsets(chain[0], points))
    found: list[Candidate] = []
    for away in AWAY:
        for offset in offsets:
            made = _at(chain, points, offset, away, scene)
            if made is None or _lies_along_a_pipe(made, scene):
                continue
            cost = weigh(scene, room, made, None)
            if cost is not None:
                crossings = cost / CROSSES_PIPE
                found.append(Candidate(made.cost + crossings * 9, made.boxes, made.strokes, made.shapes))
        if len(found) >= ENOUGH:
            break
    return sorted(found, key=lambda one: one.cost)


def note(one: Dimension, placed: Placed) -> Label:
    """A length as words with a leader to the middle of its run, for where no dimension line has room."""
    (x1, y1), (x2, y2) = placed.point(one.start), placed.point(one.end)
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    direction = unit((x1, y1), (x2, y2))
    return Label(middle, f"L {one.words}", directions=(direction, (-direction[0], -direction[1])))


def _offsets(one: Dimension, points: Sequence[Point]) -> Iterator[Point]:
    """Directions in which a dimension may be set off: the two other axes, both ways; a skew one straight aside."""
    axis = along(one.start, one.end)
    if axis is None:
        dx, dy = unit(points[0], points[-1])
        yield from ((-dy, dx), (dy, -dx))
        return
    for other in range(3):
        if other != axis:
            dx, dy = unit((0.0, 0.0), project(AXES[other]))
            yield from ((dx, dy), (-dx, -dy))


def _at(chain: Chain, points: Sequence[Point], offset: Point, away: float, scene: Scene) -> Candidate | None:
    """The chain at a distance from the pipe; none if its words would run into its own lines."""
    line = [shifted(point, offset, away) for point in points]
    extensions: list[Stroke] = []
    for point in points:
        start = _clear_of(scene, (*shifted(point, offset, FROM), *shifted(point, offset, away + BEYOND)), away)
        if start is None:
            return None
        extensions.append((*start, *shifted(point, offset, away + BEYOND)))
    boxes: list[Box] = []
    strokes: list[Stroke] = []
    shapes: list[Shape] = [Line(one[:2], one[2:], "map-fine", FINE) for one in extensions]
    for one, start, end in zip(chain, line, line[1:], strict=False):
        length, direction = dist(start, end), unit(start, end)
        room = width(one.words, TEXT) / 2 + 1.6
        across = room / abs(direction[0]) if direction[0] else 99.0
        gap = min(across, GAP_HIGH / abs(direction[1]) if direction[1] else 99.0)
        if length < 2 * gap + 13:
            return None
        x, y = shifted(start, direction, length / 2)
        boxes.append((x - room, y - HALF_HIGH, x + room, y + HALF_HIGH))
        before, after = shifted(start, direction, length / 2 - gap), shifted(start, direction, length / 2 + gap)
        strokes += [(*start, *before), (*after, *end)]
        shapes += [Line(start, before, "map-fine", FINE), Line(after, end, "map-fine", FINE)]
        shapes += [dimension_head(start, (-direction[0], -direction[1])), dimension_head(end, direction)]
        shapes.append(Words((x, y + 2.5), one.words, TEXT, "middle"))
    if any(stroke_meets_box(stroke, box) for stroke in extensions for box in boxes):
        return None
    return Candidate(away * 0.6 * len(chain), tuple(boxes), (*strokes, *extensions), lambda: shapes)


def _clear_of(scene: Scene, stroke: Stroke, away: float) -> Point | None:
    """Where an extension line begins: beyond the last pipe or mark in its way, if enough of it is left."""
    x1, y1, x2, y2 = stroke
    length = dist((x1, y1), (x2, y2))
    direction = unit((x1, y1), (x2, y2))
    begin = 0.0
    extent = stroke_box(stroke)
    for number in scene.box_grid.near(extent):
        box = scene.boxes[number]
        if stroke_meets_box(stroke, box):
            ahead = [
                (x - x1) * direction[0] + (y - y1) * direction[1] for x in (box[0], box[2]) for y in (box[1], box[3])
            ]
            begin = max(begin, max(ahead) + 1.0)
    for number in scene.stroke_grid.near(extent):
        if strokes_cross(stroke, scene.strokes[number]):
            begin = max(begin, _meeting(stroke, scene.strokes[number]) + 2.5)
    return shifted((x1, y1), direction, begin) if length - begin >= LEFT else None


def _meeting(one: Stroke, other: Stroke) -> float:
    """How far along one stroke another crosses it; its whole length for one that runs along it."""
    dx, dy = unit(one[:2], one[2:])
    ex, ey = unit(other[:2], other[2:])
    cross = dx * ey - dy * ex
    if abs(cross) < 1e-6:
        return dist(one[:2], one[2:])
    return ((other[0] - one[0]) * ey - (other[1] - one[1]) * ex) / cross


def _lies_along_a_pipe(made: Candidate, scene: Scene) -> bool:
    """Whether one of the lines runs along a pipe so near that it would be taken for one."""
    for stroke in made.strokes:
        near = widened(stroke_box(stroke), BESIDE)
        if any(_together(stroke, scene.strokes[number]) for number in scene.stroke_grid.near(near)):
            return True
    return False


def _together(one: Stroke, other: Stroke) -> bool:
    direction = unit(one[:2], one[2:])
    across = (-direction[1], direction[0])
    ends = [(other[0] - one[0], other[1] - one[1]), (other[2] - one[0], other[3] - one[1])]
    aside = [x * across[0] + y * across[1] for x, y in ends]
    if abs(aside[0] - aside[1]) > 0.1 or abs(aside[0]) > BESIDE:
        return False
    ahead = sorted(x * direction[0] + y * direction[1] for x, y in ends)
    return min(ahead[1], dist(one[:2], one[2:])) - max(ahead[0], 0.0) > 0.5
