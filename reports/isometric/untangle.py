"""Open gaps in a layout until no pipe lies on another, on its node or on a fitting, and no skew one looks straight."""

from collections.abc import Sequence
from math import hypot, radians, sin
from random import Random

from reports.isometric.drawn import Leg, key
from reports.isometric.layout import Layout
from reports.isometric.placement.flat import Stroke, stroke_box, strokes_cross, widened
from reports.isometric.placement.grid import Grid
from reports.isometric.projection import AXES, along, project

SEEN = 8.5  # least length of a skew leg on the sheet
SLANT = sin(radians(7))  # a skew leg keeps this far from the direction of an axis
CLEAR = 11.0  # points between a node and a pipe that does not end there
TRIES = 120
STEPS = (14.0, 30.0, 60.0, 120.0)

Trouble = tuple[int, int]  # two legs


def untangle(layout: Layout, legs: Sequence[Leg]) -> None:
    """Stretch the layout, gap by gap, as long as that leaves fewer legs on each other; the same on every run."""
    draw = Random(7).random
    nodes = [(key(leg.start), key(leg.end)) for leg in legs]
    troubles = tangles(layout, legs, nodes)
    for _ in range(TRIES):
        if not troubles:
            return
        one, other = troubles[int(draw() * len(troubles))]
        axis = int(draw() * 3)
        gap = _gap_between(layout, axis, legs[one], legs[other], draw())
        if gap is None:
            continue
        step = STEPS[int(draw() * len(STEPS))]
        extra = layout.axes[axis].extra
        before = extra[gap]
        # A gap may be wider than it is asked to be: what does not add to that moves nothing.
        extra[gap] = step + max(before, layout.drawn_gap(axis, gap))
        layout.settle(axis)
        now = tangles(layout, legs, nodes)
        if len(now) < len(troubles):
            troubles = now
        else:
            extra[gap] = before
            layout.settle(axis)


def tangles(layout: Layout, legs: Sequence[Leg], nodes: Sequence[tuple[object, object]]) -> list[Trouble]:
    """Pairs of legs of which one comes too near to a node of the other, or crosses a fitting, on the sheet only."""
    strokes: list[Stroke] = []
    grid = Grid(40.0)
    for number, leg in enumerate(legs):
        stroke = (*project(layout.place(leg.start)), *project(layout.place(leg.end)))
        strokes.append(stroke)
        grid.add(number, stroke_box(stroke))
    found = [(number, number) for number, leg in enumerate(legs) if _misleads(leg, strokes[number])]
    for number, stroke in enumerate(strokes):
        for other in grid.near(widened(stroke_box(stroke), CLEAR)):
            if other == number or set(nodes[number]) & set(nodes[other]) or _in_line(legs[number], legs[other]):
                continue
            near = min(_away(stroke[:2], strokes[other]), _away(stroke[2:], strokes[other])) < CLEAR
            if near or (legs[number].kind != "pipe" and strokes_cross(stroke, strokes[other])):
                found.append((number, other))
    return found


def _in_line(one: Leg, other: Leg) -> bool:
    """Whether two legs lie on one line in space: a short valve between them brings them near, and rightly so."""
    axis = along(one.start, one.end)
    if axis is None or along(other.start, other.end) != axis:
        return False
    return all(abs(one.start[side] - other.start[side]) < 0.01 for side in range(3) if side != axis)


def _misleads(leg: Leg, stroke: Stroke) -> bool:
    """Whether a skew leg looks as if it ran along an axis, or is seen from its end."""
    if leg.kind == "eccentric" or along(leg.start, leg.end) is not None:
        return False
    dx, dy = stroke[2] - stroke[0], stroke[3] - stroke[1]
    length = hypot(dx, dy)
    if length < SEEN:
        return True
    return any(abs(dx * y - dy * x) / length < SLANT for x, y in map(project, AXES))


def _gap_between(layout: Layout, axis: int, one: Leg, other: Leg, share: float) -> int | None:
    """A gap between coordinates of two legs along an axis, if it can be one that no fitting is stretched by."""
    known = layout.axes[axis].coordinates
    low = min(one.start[axis], one.end[axis], other.start[axis], other.end[axis])
    high = max(one.start[axis], one.end[axis], other.start[axis], other.end[axis])
    # A leg inside a skew run ends between coordinates.
    gaps = [
        number for number in range(len(known) - 1) if known[number] < high - 0.01 and known[number + 1] > low + 0.01
    ]
    gaps = [number for number in gaps if number not in layout.axes[axis].stiff] or gaps
    return gaps[int(share * len(gaps))] if gaps else None


def _away(point: tuple[float, float], stroke: Stroke) -> float:
    """Distance of a point from a stroke."""
    x1, y1, x2, y2 = stroke
    dx, dy = x2 - x1, y2 - y1
    length = dx * dx + dy * dy
    share = 0.0 if length == 0 else max(0.0, min(1.0, ((point[0] - x1) * dx + (point[1] - y1) * dy) / length))
    away_x, away_y = x1 + share * dx - point[0], y1 + share * dy - point[1]
    return float((away_x * away_x + away_y * away_y) ** 0.5)
