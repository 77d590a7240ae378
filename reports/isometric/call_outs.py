"""The call-outs at the ends of a route, which are large and stand out in the open: placed before all other labels."""

from collections.abc import Iterable
from itertools import takewhile

from reports.drawing import Point
from reports.isometric.candidates import Label, candidates
from reports.isometric.drawn import Mark, key
from reports.isometric.placement.candidate import Candidate
from reports.isometric.placement.flat import Box, Stroke
from reports.isometric.scene import Placed, Scene

HALF = 0.7071
LONGEST = 27.0  # leader; what must stand further off is placed among the other labels
PIECE, BESIDE = 2.0, 0.6  # of a leader that is kept free, and beside it


def stand_call_outs(marks: Iterable[Mark], placed: Placed, scene: Scene, room: Box) -> list[Mark]:
    """Draw each call-out of several lines outward from its end, and keep its room free; the marks that are left."""
    left = []
    for mark in marks:
        place = _outward(mark, placed, scene, room) if "\n" in mark.words else None
        if place is None:
            left.append(mark)
            continue
        scene.shapes += place.shapes()
        for box in place.boxes:
            scene.fix(box)
        for leader in place.strokes:
            _keep_free(leader, scene)
    return left


def _outward(mark: Mark, placed: Placed, scene: Scene, room: Box) -> Candidate | None:
    """The nearest free place on the far side of the end, whose leader crosses no pipe."""
    pipes = scene.directions.get(key(mark.at), ())
    # Neither along the pipe nor to either side of it back over the drawing.
    shut = [turned for pipe in pipes for turned in (pipe, _turned(pipe, HALF), _turned(pipe, -HALF))]
    label = Label(placed.point(mark.at), mark.words, start=2.4, directions=tuple(shut))
    near = takewhile(_is_near, candidates(label, scene, room))
    return next((place for place in near if place.cost == place.leader), None)


def _is_near(place: Candidate) -> bool:
    return place.cost <= LONGEST


def _turned(way: Point, sine: float) -> Point:
    """A direction turned by 45 degrees."""
    return way[0] * HALF - way[1] * sine, way[0] * sine + way[1] * HALF


def _keep_free(leader: Stroke, scene: Scene) -> None:
    """Keep labels off a leader, and other leaders from crossing it."""
    x1, y1, x2, y2 = leader
    count = max(1, int(max(abs(x2 - x1), abs(y2 - y1)) / PIECE))
    for step in range(count):
        (ax, ay), (bx, by) = ((x1 + (x2 - x1) * at / count, y1 + (y2 - y1) * at / count) for at in (step, step + 1))
        scene.fix((min(ax, bx) - BESIDE, min(ay, by) - BESIDE, max(ax, bx) + BESIDE, max(ay, by) + BESIDE))
