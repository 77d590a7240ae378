"""The public benchmark of Christensen, Marks and Shieber (1995), from memory: random points on a sheet of 792 by 612,
a label of 30 by 7 at each, at one of four positions (the corners) or eight (and the middles of the sides).
"""

from random import Random

from reports.isometric.placement.choose import Choices
from reports.isometric.placement.flat import Box, boxes_meet
from reports.isometric.placement.grid import Grid

WIDE, HIGH = 792.0, 612.0
ACROSS, DOWN = 30.0, 7.0
CORNERS = ((0.0, -DOWN), (-ACROSS, -DOWN), (0.0, 0.0), (-ACROSS, 0.0))
SIDES = ((0.0, -DOWN / 2), (-ACROSS, -DOWN / 2), (-ACROSS / 2, -DOWN), (-ACROSS / 2, 0.0))


def labels(count: int, positions: int, seed: int) -> list[list[Box]]:
    """For each point the boxes of its positions."""
    draw = Random(seed)
    corners = (CORNERS + SIDES)[:positions]
    points = [(draw.random() * WIDE, draw.random() * HIGH) for _ in range(count)]
    return [[(x + dx, y + dy, x + dx + ACROSS, y + dy + DOWN) for dx, dy in corners] for x, y in points]


def all_drawn(boxes: list[list[Box]]) -> Choices:
    """Every label is drawn, in conflict or not."""
    flat, clashes = _clashes(boxes)
    firsts = [len(boxes[0]) * i for i in range(len(boxes) + 1)]
    return Choices(firsts, [0.0] * len(flat), clashes, [False] * len(flat))


def left_out_where_in_the_way(boxes: list[list[Box]]) -> Choices:
    """A label may be left out, at the cost of one: the last position of each."""
    _, clashes = _clashes(boxes)
    positions = len(boxes[0])
    room = positions + 1

    def renumbered(number: int) -> int:
        return number // positions * room + number % positions

    wide: list[tuple[int, ...]] = [()] * (len(boxes) * room)
    for number, others in enumerate(clashes):
        wide[renumbered(number)] = tuple(map(renumbered, others))
    costs = [float(number % room == positions) for number in range(len(wide))]
    return Choices([room * i for i in range(len(boxes) + 1)], costs, wide, [False] * len(wide))


def _clashes(boxes: list[list[Box]]) -> tuple[list[Box], list[tuple[int, ...]]]:
    positions = len(boxes[0])
    flat = [box for some in boxes for box in some]
    grid = Grid(ACROSS)
    for number, box in enumerate(flat):
        grid.add(number, box)
    return flat, [
        tuple(
            other
            for other in grid.near(box)
            if other // positions != number // positions and boxes_meet(box, flat[other])
        )
        for number, box in enumerate(flat)
    ]
