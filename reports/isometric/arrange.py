"""Labels and dimensions of one sheet, each at the place chosen for it, all at once."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import accumulate, combinations, pairwise
from math import dist

from reports.drawing import Point, Shape
from reports.isometric.candidates import Candidate, Label, candidates
from reports.isometric.dimensions import Chain, chains, note
from reports.isometric.dimensions import candidates as chain_candidates
from reports.isometric.drawn import Dimension, Isometric, Mark, Weld, key
from reports.isometric.placement.choose import Arrangement, Choices, Schedule, choose
from reports.isometric.placement.flat import Box, boxes_meet, stroke_box, stroke_meets_box, strokes_cross
from reports.isometric.scene import Placed, Scene

PENALTY = 150.0
FIRST = 16  # places of each label at first
MORE = ((32, 60.0), (64, 110.0))  # then, for labels so near to one without a place, so many
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
    """A label still to be placed: `places` makes its places, as many as are asked for."""

    weld: Weld | None
    at: Point
    places: Callable[[int], list[Candidate]]


def arrange(drawing: Isometric, placed: Placed, scene: Scene, room: Box) -> Arranged:
    """Choose the places of all labels of a sheet; `homeless` is nought if nothing meets anything.

    Most labels find one among their few cheapest places. Those that do not, and their neighbours, get more.
    """
    asked = _asked(drawing, placed, scene, room)
    kept = [FIRST] * len(asked)
    best, troubled = _arranged(asked, kept)
    for more, around in MORE:
        if not troubled or len(troubled) > HOPELESS:
            break
        for number, one in enumerate(asked):
            if any(dist(one.at, asked[other].at) < around for other in troubled):
                kept[number] = more
        found, troubled = _arranged(asked, kept)
        if found.homeless < best.homeless:
            best = found
    return best


def _asked(drawing: Isometric, placed: Placed, scene: Scene, room: Box) -> list[Asked]:
    lines = [one for one in drawing.dimensions if not one.beside]
    labels = [_side_label(one, placed) for one in drawing.dimensions if one.beside]
    labels += [_mark_label(mark, placed, scene) for mark in drawing.marks]
    labels += [Label(at, "NTS", leader=False) for at in scene.shortened]
    of_welds = [(weld, _weld_label(weld, at, scene)) for weld, at, _ in scene.welds]
    return [
        *(Asked(weld, label.at, partial(candidates, label, scene, room)) for weld, label in of_welds),
        *(one for chain in chains(lines) for one in _measured(chain, placed, scene, room)),
        *(Asked(None, label.at, partial(candidates, label, scene, room)) for label in labels),
    ]


def _arranged(asked: list[Asked], kept: list[int]) -> tuple[Arranged, list[int]]:
    """Labels at their places, and the numbers of those that have none or meet something."""
    all_places = [one.places(count) for one, count in zip(asked, kept, strict=True)]
    homes = [number for number, places in enumerate(all_places) if places]
    homeless = [number for number, places in enumerate(all_places) if not places]
    if not homes:
        return Arranged([], len(homeless), None), homeless
    choices = choices_of([all_places[number] for number in homes])
    schedule = Schedule(moves=MOVES * len(homes), warm=12.0, cold=0.5, penalty=PENALTY)
    chosen = choose(choices, schedule)
    troubles = Arrangement(choices, PENALTY, chosen).troubles
    troubled = [number for number, trouble in zip(homes, troubles, strict=True) if trouble] + homeless
    taken = [
        all_places[number][position - first]
        for number, position, first in zip(homes, chosen, choices.firsts, strict=False)
    ]
    written = [
        Written(asked[number].weld, place.shapes(), place.ring, place.leader)
        for number, place in zip(homes, taken, strict=True)
    ]
    return Arranged(written, len(troubled), _extent(taken)), troubled


def _measured(chain: Chain, placed: Placed, scene: Scene, room: Box) -> list[Asked]:
    """A chain of dimensions as one; if it has few places, length by length, each at worst as a note with a leader."""
    if len(chain) > 1:
        whole = chain_candidates(chain, placed, scene, room)
        if len(whole) >= FEW:
            return [Asked(None, placed.point(chain[0].end), partial(_first, whole))]
    return [_one_measured(one, placed, scene, room) for one in chain]


def _one_measured(one: Dimension, placed: Placed, scene: Scene, room: Box) -> Asked:
    lines = chain_candidates((one,), placed, scene, room)
    label = note(one, placed)

    def places(count: int) -> list[Candidate]:
        notes = candidates(label, scene, room, count // 2)
        return [*lines[:count], *(replace(place, cost=place.cost + AS_NOTE) for place in notes)]

    return Asked(None, label.at, places)


def _first(places: list[Candidate], count: int) -> list[Candidate]:
    return places[:count]


def choices_of(places: Sequence[Sequence[Candidate]]) -> Choices:
    """The places of all labels as choices, with what stands in whose way; labels far apart are not compared."""
    flat = [place for some in places for place in some]
    firsts = list(accumulate((len(some) for some in places), initial=0))
    extents = [_extent([place]) for place in flat]
    reach = [_around(extents[first:last]) for first, last in pairwise(firsts)]
    clashes: list[list[int]] = [[] for _ in flat]
    for one, other in combinations(range(len(places)), 2):
        mine, theirs = reach[one], reach[other]
        if mine[0] < theirs[2] and theirs[0] < mine[2] and mine[1] < theirs[3] and theirs[1] < mine[3]:
            near = [n for n in range(firsts[other], firsts[other + 1]) if boxes_meet(extents[n], mine)]
            for number in range(firsts[one], firsts[one + 1]):
                left, top, right, bottom = extents[number]
                place, mine_clashes = flat[number], clashes[number]
                for n in near:
                    box = extents[n]
                    if left < box[2] and box[0] < right and top < box[3] and box[1] < bottom and _clash(place, flat[n]):
                        mine_clashes.append(n)
                        clashes[n].append(number)
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
    return _around(boxes)


def _around(boxes: Sequence[Box]) -> Box:
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
