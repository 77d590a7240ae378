"""Where the words of one label may stand: a ring of places around its point, weighed against what can't move."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from math import cos, hypot, pi, sin

from reports.drawing import Line, Point, Polygon, Shape, Words
from reports.isometric.placement.flat import Box, Stroke, around, stroke_box, stroke_meets_box, strokes_cross
from reports.isometric.scene import Scene
from reports.isometric.symbols import FINE, HEAVY, LEADER
from reports.letters import width

RING = 12.0  # side of a joint's ring
BETWEEN = 1.8  # beside a label, so that a number is nearest to its own ring
RIM = 5.3  # radius at which a leader meets the ring
TEXT, SMALL = 8.0, 7.0
AWAY = (13.0, 18.0, 24.0, 31.0, 40.0, 52.0, 68.0)
TURNS = 16
CROSSES_PIPE = 16.0  # what it costs, in points of leader
ALONG = cos(pi * 24 / 180)  # a leader keeps this far from the direction of the pipe


@dataclass(frozen=True, slots=True)
class Candidate:
    """One place for one label: its cost, the boxes and strokes nothing else may meet, and how it is drawn."""

    cost: float
    boxes: tuple[Box, ...]
    strokes: tuple[Stroke, ...]
    shapes: Callable[[], list[Shape]]
    ring: Point | None = None  # upper left corner of a joint's ring
    leader: float = 0.0


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a point: `frame` is ring, box, heavy or nothing; `start` is where its leader begins."""

    at: Point
    words: str
    frame: str = ""
    start: float = 2.4
    directions: tuple[Point, ...] = ()
    leader: bool = True


@cache
def _turns() -> tuple[Point, ...]:
    """Directions all around, those to the upper right first, so that equal places are chosen alike."""
    angles = [2 * pi * turn / TURNS for turn in range(TURNS)]
    return tuple(
        (round(sin(angle), 12), round(-cos(angle), 12)) for angle in sorted(angles, key=lambda a: abs(a - pi / 4))
    )


def candidates(label: Label, scene: Scene, room: Box, kept: int) -> list[Candidate]:
    """The places of a label that are free of pipes, symbols and the edge, cheapest first; at most `kept`."""
    found: list[Candidate] = []
    own = label.at
    for away in AWAY:
        for direction in _turns():
            if any(direction[0] * x + direction[1] * y > ALONG for x, y in label.directions):
                continue
            for made in _at(label, direction, away):
                cost = weigh(scene, room, made, own)
                if cost is not None:
                    found.append(_priced(made, cost))
        if len(found) >= kept:
            break
    found.sort(key=lambda one: one.cost)
    return found[:kept]


def weigh(scene: Scene, room: Box, made: Candidate, own: Point | None) -> float | None:
    """What crossing pipes adds to the cost of a place, or nothing if something that can't move is in the way.

    own  the point whose weld mark the leader may touch
    """
    for box in made.boxes:
        if box[0] < room[0] or box[1] < room[1] or box[2] > room[2] or box[3] > room[3]:
            return None
        if any(boxes_near(box, scene.boxes[number]) for number in scene.box_grid.near(box)):
            return None
        wide = (box[0] - 1.6, box[1] - 1.6, box[2] + 1.6, box[3] + 1.6)
        if any(stroke_meets_box(scene.strokes[number], wide) for number in scene.stroke_grid.near(box)):
            return None
    cost = 0.0
    for stroke in made.strokes:
        extent = stroke_box(stroke)
        for number in scene.box_grid.near(extent):
            box = scene.boxes[number]
            if stroke_meets_box(stroke, box) and not _around(box, own):
                return None
        cost += CROSSES_PIPE * sum(
            strokes_cross(stroke, scene.strokes[number]) for number in scene.stroke_grid.near(extent)
        )
    return cost


def boxes_near(one: Box, other: Box) -> bool:
    """Whether two boxes meet or nearly do."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _around(box: Box, own: Point | None) -> bool:
    return own is not None and box[0] <= own[0] <= box[2] and box[1] <= own[1] <= box[3]


def _priced(made: Candidate, more: float) -> Candidate:
    return Candidate(made.cost + more, made.boxes, made.strokes, made.shapes, made.ring, made.leader)


def _at(label: Label, direction: Point, away: float) -> Iterator[Candidate]:
    if label.frame == "ring":
        yield _ring_at(label, direction, away)
    else:
        yield _words_at(label, direction, away)


def _ring_at(label: Label, direction: Point, away: float) -> Candidate:
    x, y = label.at[0] + direction[0] * away, label.at[1] + direction[1] * away
    half, room = RING / 2 + 0.3, width(label.words, TEXT, "bold")
    to_left = direction[0] < -0.1
    text_x = x - half - 2.0 if to_left else x + half + 2.0
    left = text_x - room - BETWEEN if to_left else x - half - BETWEEN
    right = x + half + BETWEEN if to_left else text_x + room + BETWEEN
    start = (label.at[0] + direction[0] * label.start, label.at[1] + direction[1] * label.start)
    end = (x - direction[0] * RIM, y - direction[1] * RIM)
    leader = (*start, *end)
    anchor = "end" if to_left else "start"

    def shapes() -> list[Shape]:
        return [
            Line(start, end, "map-fine", LEADER),
            Words((text_x, y + 2.7), label.words, TEXT, anchor, "bold"),
        ]

    length = away - label.start - RIM
    return Candidate(
        length, ((left, y - half, right, y + half),), (leader,), shapes, (x - RING / 2, y - RING / 2), length
    )


def _words_at(label: Label, direction: Point, away: float) -> Candidate:
    heavy = label.frame == "heavy"
    face = "bold" if heavy else "plain"
    room, pad = width(label.words, SMALL, face), 2.6 if label.frame else 1.0
    half_wide, half_high = room / 2 + pad, 5.4 if label.frame else 5.0
    # The nearest side of the box stands `away` from the point, whatever its width.
    reach = _reach(direction, half_wide, half_high)
    x = label.at[0] + direction[0] * (away + reach - 5)
    y = label.at[1] + direction[1] * (away + reach - 5)
    box = (x - half_wide, y - half_high, x + half_wide, y + half_high)
    start = (label.at[0] + direction[0] * label.start, label.at[1] + direction[1] * label.start)
    end = (x - direction[0] * reach, y - direction[1] * reach)
    length = max(0.0, away - 5 - label.start)

    def shapes() -> list[Shape]:
        made: list[Shape] = [Words((x, y + 2.4), label.words, SMALL, "middle", face)]
        if label.frame:
            weight = HEAVY if heavy else FINE
            corners = ((box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3]))
            made.append(Polygon(corners, "map-line", weight))
        if label.leader:
            made.append(Line(start, end, "map-fine", LEADER))
        return made

    strokes = ((*start, *end),) if label.leader and length > 0 else ()
    return Candidate(length, (box,), strokes, shapes, None, length)


def _reach(direction: Point, half_wide: float, half_high: float) -> float:
    """From the middle of a box to its edge in a direction."""
    across = half_wide / abs(direction[0]) if direction[0] else float("inf")
    down = half_high / abs(direction[1]) if direction[1] else float("inf")
    return min(across, down)


def extent(made: Sequence[Candidate]) -> Box:
    """The box around places."""
    points = [(x, y) for one in made for box in one.boxes for x, y in ((box[0], box[1]), (box[2], box[3]))]
    points += [(x, y) for one in made for x1, y1, x2, y2 in one.strokes for x, y in ((x1, y1), (x2, y2))]
    return around(tuple(points))


def length_of(stroke: Stroke) -> float:
    """Length of a stroke."""
    return hypot(stroke[2] - stroke[0], stroke[3] - stroke[1])
