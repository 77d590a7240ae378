"""Where the words of one label may stand: a ring of places around its point, weighed against what can't move."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from heapq import heappop, heappush
from itertools import count
from math import cos, pi, sin

from reports.drawing import Line, Point, Polygon, Shape, Words
from reports.isometric.placement.candidate import Candidate
from reports.isometric.placement.flat import Box, Stroke, widened
from reports.isometric.scene import Scene
from reports.isometric.symbols import FINE, HEAVY, LEADER
from reports.letters import width

RING = 12.0  # side of a joint's ring
BETWEEN = 1.8  # beside a label, so that a number is nearest to its own ring
READ_ON = 3.4  # room for no other label behind a number, lest it be read on as a part of it
FRAME_OFF = 1.4  # that the frame of a mark keeps off lines, and so just off the heads of dimensions
RIM = 5.3  # radius at which a leader meets the ring
TEXT, SMALL, LINE_HIGH = 8.0, 7.0, 8.6
AWAY = (13.0, 18.0, 24.0, 31.0, 40.0, 52.0, 68.0)
TURNS = 16
CROSSES_PIPE = 16.0  # what it costs, in points of leader
KNOWN = 512  # sets of directions whose turns are remembered: there are few, but for skew runs
ALONG = cos(pi * 24 / 180)  # a leader keeps this far from the direction of the pipe

# The box that may cover nothing that can't move, the one that no other label may meet; leader, shapes, ring.
Made = tuple[Box, Box, Stroke | None, Callable[[], list[Shape]], Point | None]


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a point: `frame` is ring, box, heavy or nothing; `start` is where its leader begins."""

    at: Point
    words: str
    frame: str = ""
    start: float = 2.4
    directions: tuple[Point, ...] = ()
    leader: bool = True
    dear: float = 1.0  # how much more than another one it costs away from its point


@cache
def _turns() -> tuple[Point, ...]:
    """Directions all around, those to the upper right first, so that equal places are chosen alike."""
    angles = [2 * pi * turn / TURNS for turn in range(TURNS)]
    return tuple(
        (round(sin(angle), 12), round(-cos(angle), 12)) for angle in sorted(angles, key=lambda a: abs(a - pi / 4))
    )


@lru_cache(maxsize=KNOWN)
def _open_turns(shut: tuple[Point, ...]) -> tuple[Point, ...]:
    """The directions that are not along a pipe."""
    return tuple((x, y) for x, y in _turns() if not any(x * along_x + y * along_y > ALONG for along_x, along_y in shut))


def candidates(label: Label, scene: Scene, room: Box, more: float = 0.0) -> Iterator[Candidate]:
    """The places of a label that are free of pipes, symbols and the edge, cheapest first, each made when asked for.

    more  what each of them costs beside its leader
    """
    turns = _open_turns(tuple((round(x, 6), round(y, 6)) for x, y in label.directions))
    make = _ring_at if label.frame == "ring" else _words_at
    less = label.start + (RIM if label.frame == "ring" else 5.0)
    waiting: list[tuple[float, int, Candidate]] = []  # places whose leaders cross pipes, until their cost comes up
    turn = count()
    for away in AWAY:
        length = max(0.0, away - less)
        dear = length * label.dear
        while waiting and waiting[0][0] <= dear:
            yield heappop(waiting)[2]
        for direction in turns:
            made = _weighed(make(label, direction, away), scene, room, label.at)
            if made is not None:
                crossings, (_, box, leader, shapes, ring) = made
                cost = dear + CROSSES_PIPE * crossings
                if leader is None:
                    place = Candidate(cost + more, (box,), (), shapes, box, ring, length)
                else:
                    place = Candidate(cost + more, (box,), (leader,), shapes, _with(box, leader), ring, length)
                if crossings:
                    heappush(waiting, (cost, next(turn), place))
                else:
                    yield place
    while waiting:
        yield heappop(waiting)[2]


def _with(box: Box, leader: Stroke) -> Box:
    """The box around a label and its leader."""
    x1, y1, x2, y2 = leader
    return min(box[0], x1, x2), min(box[1], y1, y2), max(box[2], x1, x2), max(box[3], y1, y2)


def _weighed(made: Made, scene: Scene, room: Box, own: Point) -> tuple[int, Made] | None:
    """How many pipes a leader crosses, or nothing if something that can't move is in the way."""
    box, leader = made[0], made[2]
    if box[0] < room[0] or box[1] < room[1] or box[2] > room[2] or box[3] > room[3] or scene.fixed.covers(box):
        return None
    if leader is None:
        return 0, made
    crossings = scene.fixed.across(leader, own)
    return None if crossings is None else (crossings, made)


def _ring_at(label: Label, direction: Point, away: float) -> Made:
    x, y = label.at[0] + direction[0] * away, label.at[1] + direction[1] * away
    half, room = RING / 2 + 0.3, width(label.words, TEXT, "bold")
    to_left = direction[0] < -0.1
    text_x = x - half - 2.0 if to_left else x + half + 2.0
    left = text_x - room - BETWEEN if to_left else x - half - BETWEEN
    right = x + half + BETWEEN if to_left else text_x + room + BETWEEN
    start = (label.at[0] + direction[0] * label.start, label.at[1] + direction[1] * label.start)
    end = (x - direction[0] * RIM, y - direction[1] * RIM)
    anchor = "end" if to_left else "start"

    def shapes() -> list[Shape]:
        return [
            Line(start, end, "map-fine", LEADER),
            Words((text_x, y + 2.7), label.words, TEXT, anchor, "bold"),
        ]

    bare = (left, y - half, right, y + half)
    taken = (left - READ_ON, *bare[1:]) if to_left else (left, bare[1], right + READ_ON, bare[3])
    return bare, taken, (*start, *end), shapes, (x - RING / 2, y - RING / 2)


def _words_at(label: Label, direction: Point, away: float) -> Made:
    heavy = label.frame == "heavy"
    face = "bold" if heavy else "plain"
    lines = label.words.split("\n")
    room, pad = max(width(line, SMALL, face) for line in lines), 2.6 if label.frame else 1.0
    further = (len(lines) - 1) * LINE_HIGH / 2
    half_wide, half_high = room / 2 + pad, (5.4 if label.frame else 5.0) + further
    # The nearest side of the box stands `away` from the point, whatever its width.
    reach = _reach(direction, half_wide, half_high)
    x = label.at[0] + direction[0] * (away + reach - 5)
    y = label.at[1] + direction[1] * (away + reach - 5)
    box = (x - half_wide, y - half_high, x + half_wide, y + half_high)
    # A frame that touched a line would be taken for a part of it.
    taken = widened(box, FRAME_OFF) if label.frame else box
    start = (label.at[0] + direction[0] * label.start, label.at[1] + direction[1] * label.start)
    end = (x - direction[0] * reach, y - direction[1] * reach)
    leads = label.leader and away - 5 > label.start

    def shapes() -> list[Shape]:
        top, anchor, at = (y + 2.4 - further, "start", x - room / 2) if further else (y + 2.4, "middle", x)
        made: list[Shape] = [
            Words((at, top + LINE_HIGH * number), line, SMALL, anchor, face) for number, line in enumerate(lines)
        ]
        if label.frame:
            weight = HEAVY if heavy else FINE
            corners = ((box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3]))
            made.append(Polygon(corners, "map-line", weight))
        if leads:
            made.append(Line(start, end, "map-fine", LEADER))
        return made

    return taken, taken, ((*start, *end) if leads else None), shapes, None


def _reach(direction: Point, half_wide: float, half_high: float) -> float:
    """From the middle of a box to its edge in a direction."""
    across = half_wide / abs(direction[0]) if direction[0] else float("inf")
    down = half_high / abs(direction[1]) if direction[1] else float("inf")
    return min(across, down)
