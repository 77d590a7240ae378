"""Dimensions as chains beside the pipe: lines parallel to it, set off along an axis, with the words level in a gap."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from heapq import heappop, heappush
from itertools import count
from math import dist, inf

from reports.drawing import Line, Point, Shape, Words
from reports.isometric.candidates import Label
from reports.isometric.drawn import Dimension, Place
from reports.isometric.layout import TEXT
from reports.isometric.placement.candidate import Candidate, around_all
from reports.isometric.placement.flat import Box, Stroke, stroke_box, stroke_meets_box
from reports.isometric.projection import AXES, along, project
from reports.isometric.scene import Placed, Scene
from reports.isometric.symbols import FINE, dimension_head, shifted, unit
from reports.letters import width

AWAY = (19.0, 25.0, 32.0, 40.0, 50.0, 62.0, 76.0, 92.0, 112.0)
FROM, BEYOND = 4.5, 2.5  # extension lines begin off the pipe and end beyond the dimension line
BESIDE = 5.0  # a dimension line along a pipe stays this far from it
HALF_HIGH, GAP_HIGH = 4.4, 6.0  # of the words, and of the gap in a slanting line around them
CROSSES = 6.0  # what an extension line across a pipe costs; a dimension line never crosses one
OPEN, SHORTEST = 2.5, 3.0  # left open on either side of a pipe that is crossed; least piece of a line between two
GASKET = 10.0  # mm; between lengths that are one chain may lie a gasket, whose thickness is not drawn
LEFT = 7.0  # least length of an extension line
EDGE = 0.6  # of a symbol, beside the line of its outline
HIDDEN = 6.0  # points of an extension line that may be left out behind words and symbols; more of it costs as much
PAST, OWN, ALONGSIDE = 75.0, 6.0, 8.0  # see `_past`

Chain = tuple[Dimension, ...]
_Way = tuple[float, float, bool]


def chains(dimensions: Sequence[Dimension]) -> list[Chain]:
    """Dimensions that follow each other along one line, together, also where those of a branch come between."""
    found: list[list[Dimension]] = []
    for one in dimensions:
        chain = next((some for some in reversed(found) if _follows(one, some[-1])), None)
        if chain is None:
            found.append([one])
        else:
            chain.append(one)
    return [tuple(chain) for chain in found]


def _follows(one: Dimension, last: Dimension) -> bool:
    """Whether a length goes straight on from another one."""
    return dist(_foot(last), one.start) < GASKET and _heading(last) == _heading(one) is not None


def _foot(one: Dimension) -> Place:
    """Where the pipe goes on from the end of a length."""
    return one.goes_on or one.end


def _heading(one: Dimension) -> tuple[int, bool] | None:
    axis = along(one.start, one.end)
    return None if axis is None else (axis, one.end[axis] > one.start[axis])


def candidates(chain: Chain, placed: Placed, scene: Scene, room: Box) -> Iterator[Candidate]:
    """The places of a chain that cover no pipe and no symbol, cheapest first, each made when asked for."""
    points = [placed.point(chain[0].start), *(placed.point(_foot(one)) for one in chain)]
    way = unit(points[0], placed.point(chain[0].end))
    sides = [
        side
        for offset in _offsets(chain[0], points)
        if (side := _side(chain, _ends(points, way, offset), offset, scene)) is not None
    ]
    waiting: list[tuple[float, int, Candidate]] = []  # places that cross pipes, until their cost comes up
    turn = count()
    for away in AWAY:
        cost = away * 0.6 * len(chain)
        while waiting and waiting[0][0] <= cost:
            yield heappop(waiting)[2]
        for side in sides:
            made = _at(side, away, scene, room)
            if made is None:
                continue
            if made.cost > cost:
                heappush(waiting, (made.cost, next(turn), made))
            else:
                yield made
    while waiting:
        yield heappop(waiting)[2]


def note(one: Dimension, placed: Placed, scene: Scene) -> Label:
    """A length as words with a leader to the middle of its run, for where no dimension line has room."""
    (x1, y1), (x2, y2) = placed.point(one.start), placed.point(one.end)
    middle = ((x1 + x2) / 2, (y1 + y2) / 2)
    direction = unit((x1, y1), (x2, y2))
    return Label(scene.whole(middle), f"L {one.words}", directions=(direction, (-direction[0], -direction[1])))


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


_End = tuple[Point, Point, float]  # of the pipe, on the line along its first length, and how far beyond that line


def _ends(points: Sequence[Point], way: Point, offset: Point) -> list[_End]:
    """The ends of lengths, brought onto one line in the direction in which they are set off."""
    first, across = points[0], way[0] * offset[1] - way[1] * offset[0]
    found: list[_End] = []
    for point in points:
        beyond = (way[0] * (point[1] - first[1]) - way[1] * (point[0] - first[0])) / across
        found.append((point, shifted(point, offset, -beyond), beyond) if abs(beyond) > 1e-6 else (point, point, 0.0))
    return found


@dataclass(frozen=True, slots=True)
class _Side:
    """A chain set off in one direction, whatever the distance.

    words     for each length its words, the middle between its ends, half of their room across, half of the gap
    rays      for each end what lies in the way of its extension line: from where, up to where, and whether it is a pipe
    past      how far off pipes run beside it in the same direction
    """

    ends: tuple[_End, ...]
    offset: Point
    words: tuple[tuple[str, Point, float, float], ...]
    rays: tuple[tuple[_Way, ...], ...]
    past: tuple[float, ...]


def _side(chain: Chain, ends: Sequence[_End], offset: Point, scene: Scene) -> _Side | None:
    """The chain in a direction; none where a pipe runs that way, or words find no room between their heads."""
    words = []
    for one, (_, start, _), (_, end, _) in zip(chain, ends, ends[1:], strict=False):
        (dx, dy), length = unit(start, end), dist(start, end)
        room = width(one.words, TEXT) / 2 + 1.6
        gap = min(room / abs(dx) if dx else 99.0, GAP_HIGH / abs(dy) if dy else 99.0)
        if length < 2 * gap + 13:
            return None
        words.append((one.words, shifted(start, (dx, dy), length / 2), room, gap))
    rays = []
    for point, _, _ in ends:
        ray = _in_the_way((*shifted(point, offset, FROM), *shifted(point, offset, AWAY[-1] + BEYOND)), scene)
        if ray is None:
            return None
        rays.append(ray)
    axis = along(chain[0].start, chain[0].end)
    past = () if axis is None else _past(ends[0][1], ends[-1][1], offset, scene.runs[axis])
    return _Side(tuple(ends), offset, tuple(words), tuple(rays), past)


def _past(first: Point, last: Point, offset: Point, runs: Sequence[Stroke]) -> tuple[float, ...]:
    """How far off, in a direction, other runs lie beside a length: beyond one of them it seems to be that one's."""
    (dx, dy), length = unit(first, last), dist(first, last)
    across = dx * offset[1] - dy * offset[0]
    found = []
    for x1, y1, x2, y2 in runs:
        away = (dx * (y1 - first[1]) - dy * (x1 - first[0])) / across
        if away > OWN:
            near, far = sorted(
                ((x - first[0]) * offset[1] - (y - first[1]) * offset[0]) / across for x, y in ((x1, y1), (x2, y2))
            )
            if min(far, length) - max(near, 0.0) > ALONGSIDE:
                found.append(away)
    return tuple(found)


def _in_the_way(ray: Stroke, scene: Scene) -> tuple[_Way, ...] | None:
    """What an extension line would run into, in the order met; none for a pipe along it."""
    found = []
    for box in scene.fixed.boxes_on(ray):
        through = _through(ray, scene.fixed.outlines.get(box) or _corners(box))
        if through is not None:
            found.append((through[0] - 1.0, through[1] + 1.0, False))
    for other in scene.fixed.crossings(ray):
        met = _meeting(ray, other)
        if met is None:
            return None
        found.append((met - OPEN, met + OPEN, True))
    return tuple(sorted(found))


def _corners(box: Box) -> tuple[Point, ...]:
    left, top, right, bottom = box
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _through(ray: Stroke, outline: Sequence[Point]) -> tuple[float, float] | None:
    """How far along a ray it comes into an outline without dents, and out again; none where it passes by."""
    (x, y), (dx, dy) = ray[:2], unit(ray[:2], ray[2:])
    middle = sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
    entered, left = 0.0, inf
    for (ax, ay), (bx, by) in zip(outline, (*outline[1:], outline[0]), strict=True):
        nx, ny = unit((ay, -ax), (by, -bx))
        if nx * (middle[0] - ax) + ny * (middle[1] - ay) > 0:
            nx, ny = -nx, -ny
        outside, way = nx * (x - ax) + ny * (y - ay) - EDGE, nx * dx + ny * dy
        if abs(way) > 1e-9:
            if way < 0:
                entered = max(entered, -outside / way)
            else:
                left = min(left, -outside / way)
        elif outside > 0:
            return None
    return (entered, left) if entered < left else None


def _at(side: _Side, away: float, scene: Scene, room: Box) -> Candidate | None:
    """The chain at a distance from the pipe; none if something that can't move is in its way."""
    fixed, offset = scene.fixed, side.offset
    dx, dy = offset[0] * away, offset[1] * away
    boxes: list[Box] = []
    for _, (x, y), half, _ in side.words:
        box = (x + dx - half, y + dy - HALF_HIGH, x + dx + half, y + dy + HALF_HIGH)
        if fixed.covers(box):
            return None
        boxes.append(box)
    extensions: list[Stroke] = []
    cost = away * 0.6 * len(side.words) + PAST * sum(one < away for one in side.past)
    for (point, _, beyond), ray in zip(side.ends, side.rays, strict=True):
        length = away - beyond + BEYOND - FROM
        *pieces, last = _pieces(ray, length)
        if last[1] - last[0] < LEFT:
            return None
        for first, end in (*pieces, last):
            extensions.append((*shifted(point, offset, FROM + first), *shifted(point, offset, FROM + end)))
            length -= end - first
        crossings = sum(pipe for first, _, pipe in ray if first < last[1])
        cost += CROSSES * crossings + max(0.0, length - 2 * OPEN * crossings - HIDDEN)
    if any(stroke_meets_box(stroke, box) for stroke in extensions for box in boxes):
        return None
    strokes: list[Stroke] = []
    for (_, (x, y), _, gap), (_, one, _), (_, other, _) in zip(side.words, side.ends, side.ends[1:], strict=False):
        way = unit(one, other)
        middle = (x + dx, y + dy)
        strokes.append((one[0] + dx, one[1] + dy, *shifted(middle, way, -gap)))
        strokes.append((*shifted(middle, way, gap), other[0] + dx, other[1] + dy))
    if any(fixed.across(stroke, beside=BESIDE) != 0 for stroke in strokes):
        return None
    lines = (*strokes, *extensions)
    extent = around_all((*boxes, *map(stroke_box, lines)))
    if extent[0] < room[0] or extent[1] < room[1] or extent[2] > room[2] or extent[3] > room[3]:
        return None
    if any(fixed.runs_along(stroke, BESIDE) for stroke in extensions):
        return None
    return Candidate(cost, tuple(boxes), lines, partial(_shapes, side, away, strokes, extensions), extent)


def _pieces(ray: Sequence[_Way], length: float) -> list[tuple[float, float]]:
    """The pieces of an extension line between what lies in its way; the last one may be too short."""
    found, at = [], 0.0
    for first, last, _ in ray:
        if first >= length:
            break
        if first - at >= SHORTEST:
            found.append((at, first))
        at = max(at, last)
    return [*found, (at, length)]


def _shapes(side: _Side, away: float, strokes: Sequence[Stroke], extensions: Sequence[Stroke]) -> list[Shape]:
    """The lines, heads and words of a chain at its place."""
    made: list[Shape] = [Line(one[:2], one[2:], "map-fine", FINE) for one in (*extensions, *strokes)]
    for number, (words, middle, _, _) in enumerate(side.words):
        start, end = strokes[2 * number][:2], strokes[2 * number + 1][2:]
        direction = unit(start, end)
        made += [dimension_head(start, (-direction[0], -direction[1])), dimension_head(end, direction)]
        x, y = shifted(middle, side.offset, away)
        made.append(Words((x, y + 2.5), words, TEXT, "middle"))
    return made


def _meeting(one: Stroke, other: Stroke) -> float | None:
    """How far along one stroke another crosses it; none for one that runs along it."""
    dx, dy = unit(one[:2], one[2:])
    ex, ey = unit(other[:2], other[2:])
    cross = dx * ey - dy * ex
    if abs(cross) < 1e-6:
        return None
    return ((other[0] - one[0]) * ey - (other[1] - one[1]) * ex) / cross
