"""Labels and dimensions of one sheet, each at the place chosen for it, all at once."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reports.drawing import Point, Shape
from reports.isometric.candidates import Candidate, Label, candidates
from reports.isometric.dimensions import Chain, chains, note
from reports.isometric.dimensions import candidates as chain_candidates
from reports.isometric.drawn import Dimension, Isometric, Mark, Weld, key
from reports.isometric.placement.choose import Arrangement, Choices, Schedule, choose
from reports.isometric.placement.flat import Box, boxes_meet, stroke_box, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import Grid
from reports.isometric.scene import Placed, Scene

PENALTY = 150.0
KEPT = (20, 64)  # places of each label, at first and where that leaves a few without one
HOPELESS = 8  # labels; more of them are not helped by more places
FEW = 4  # places of a chain of dimensions; with fewer its lengths are placed one by one
AS_NOTE = 90.0  # a length without dimension lines costs this more
MOVES = 120  # of the annealing, for each label

FINDING = {"stop": " !!", "correct": " !"}
FRAMES = {"piece": "box", "spool": "heavy"}


@dataclass(frozen=True, slots=True)
class Written:
    """A label at its place: of a joint, or of anything else."""

    weld: Weld | None
    shapes: list[Shape]
    ring: Point | None
    leader: float


@dataclass(frozen=True, slots=True)
class Arranged:
    """The labels of a sheet, and how many of them found no free place."""

    written: list[Written]
    homeless: int
    extent: Box | None


@dataclass(frozen=True, slots=True)
class Asked:
    """A label still to be placed, with the places it may have."""

    weld: Weld | None
    places: list[Candidate]


def arrange(drawing: Isometric, placed: Placed, scene: Scene, room: Box) -> Arranged:
    """Choose the places of all labels of a sheet; `homeless` is nought if nothing meets anything."""
    for kept in KEPT:
        found = _arranged(_asked(drawing, placed, scene, room, kept))
        if found.homeless == 0 or found.homeless > HOPELESS:
            break
    return found


def _asked(drawing: Isometric, placed: Placed, scene: Scene, room: Box, kept: int) -> list[Asked]:
    """All labels of a sheet with at most so many places each."""
    lines = [one for one in drawing.dimensions if not one.beside]
    labels = [_side_label(one, placed) for one in drawing.dimensions if one.beside]
    labels += [_mark_label(mark, placed, scene) for mark in drawing.marks]
    labels += [Label(at, "NTS", leader=False) for at in scene.shortened]
    return [
        *(Asked(weld, candidates(_weld_label(weld, at, scene), scene, room, kept)) for weld, at, _ in scene.welds),
        *(one for chain in chains(lines) for one in _measured(chain, placed, scene, room, kept)),
        *(Asked(None, candidates(label, scene, room, kept)) for label in labels),
    ]


def _arranged(asked: list[Asked]) -> Arranged:
    homes = [one for one in asked if one.places]
    if not homes:
        return Arranged([], len(asked), None)
    choices = choices_of([one.places for one in homes])
    schedule = Schedule(moves=MOVES * len(homes), warm=12.0, cold=0.5, penalty=PENALTY)
    chosen = choose(choices, schedule)
    trouble = Arrangement(choices, PENALTY, chosen).in_conflict
    taken = [one.places[number - first] for one, number, first in zip(homes, chosen, choices.firsts, strict=False)]
    written = [
        Written(one.weld, place.shapes(), place.ring, place.leader) for one, place in zip(homes, taken, strict=True)
    ]
    return Arranged(written, trouble + len(asked) - len(homes), _extent(taken))


def _measured(chain: Chain, placed: Placed, scene: Scene, room: Box, kept: int) -> list[Asked]:
    """A chain of dimensions as one; if it has few places, length by length, each at worst as a note with a leader."""
    together = chain_candidates(chain, placed, scene, room, kept)
    if len(together) >= FEW and len(chain) > 1:
        return [Asked(None, together)]
    asked = []
    for one in chain:
        notes = candidates(note(one, placed), scene, room, kept)[: kept // 3]
        places = [replace(place, cost=place.cost + AS_NOTE) for place in notes]
        asked.append(Asked(None, [*chain_candidates((one,), placed, scene, room, kept), *places]))
    return asked


def choices_of(places: Sequence[Sequence[Candidate]]) -> Choices:
    """The places of all labels as choices, with what stands in whose way."""
    flat = [place for some in places for place in some]
    owner = [number for number, some in enumerate(places) for _ in some]
    firsts = [0]
    for some in places:
        firsts.append(firsts[-1] + len(some))
    grid = Grid(28.0)
    extents = [_extent([place]) for place in flat]
    for number, box in enumerate(extents):
        grid.add(number, box)
    clashes: list[list[int]] = [[] for _ in flat]
    for number, place in enumerate(flat):
        box = extents[number]
        for other in grid.near(box):
            if other <= number or owner[other] == owner[number] or not boxes_meet(box, extents[other]):
                continue
            if _clash(place, flat[other]):
                clashes[number].append(other)
                clashes[other].append(number)
    return Choices(firsts, [place.cost for place in flat], [tuple(some) for some in clashes], [False] * len(flat))


def _clash(one: Candidate, other: Candidate) -> bool:
    """Whether two places can't both be taken; plain loops, since a sheet asks this a hundred thousand times."""
    theirs, their_strokes = other.boxes, other.strokes
    for box in one.boxes:
        for their in theirs:
            if box[0] < their[2] and their[0] < box[2] and box[1] < their[3] and their[1] < box[3]:
                return True
        for stroke in their_strokes:
            if stroke_meets_box(stroke, box):
                return True
    for stroke in one.strokes:
        for their in theirs:
            if stroke_meets_box(stroke, their):
                return True
        for another in their_strokes:
            if strokes_cross(stroke, another):
                return True
    return False


def _extent(places: Sequence[Candidate]) -> Box:
    boxes = [box for place in places for box in place.boxes]
    boxes += [stroke_box(stroke) for place in places for stroke in place.strokes]
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def _weld_label(weld: Weld, at: Point, scene: Scene) -> Label:
    start = {"shop": 3.6, "field": 4.6}.get(weld.joint.location, 6.4)
    directions = tuple(scene.directions.get(key(weld.at), ()))
    # A finding is told by a sign beside the number, not by colour alone.
    words = weld.joint.number + FINDING.get(weld.finding, "")
    return Label(at, words, "ring", start, directions)


def _mark_label(mark: Mark, placed: Placed, scene: Scene) -> Label:
    directions = tuple(scene.directions.get(key(mark.at), ()))
    start = {"support": 8.5}.get(mark.kind, 2.4)
    return Label(placed.point(mark.at), mark.words, FRAMES.get(mark.kind, ""), start, directions)


def _side_label(side: Dimension, placed: Placed) -> Label:
    (x1, y1), (x2, y2) = placed.point(side.start), placed.point(side.end)
    return Label(((x1 + x2) / 2, (y1 + y2) / 2), side.words, leader=False)
