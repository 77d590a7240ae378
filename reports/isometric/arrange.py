"""Labels and dimensions of one sheet, each at the place chosen for it, all at once."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import merge
from itertools import accumulate
from itertools import chain as joined

from reports.drawing import Point, Shape
from reports.isometric.candidates import Label, candidates
from reports.isometric.dimensions import Chain, chains, note
from reports.isometric.dimensions import candidates as chain_candidates
from reports.isometric.drawn import Isometric, Mark, Weld, key
from reports.isometric.placement.candidate import Candidate, around_all, clash
from reports.isometric.placement.choose import Arrangement, Choices, Schedule, choose
from reports.isometric.placement.flat import Box
from reports.isometric.placement.seats import Seats
from reports.isometric.projection import along
from reports.isometric.scene import Placed, Scene

PENALTY = 150.0
KEPT = 32  # places of each label among which the last ones are annealed
AS_NOTE = 90.0  # a length without dimension lines costs this more
NEARBY = 4.0  # how much dearer a point of distance is for what has no leader
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


def arrange(drawing: Isometric, placed: Placed, scene: Scene, room: Box, *, last: bool = False) -> Arranged:
    """Choose the places of all labels of a sheet; `homeless` is nought if nothing meets anything.

    Most labels find one among their few cheapest places, or others give way to them. Chains of dimensions are seated
    first, so that they stay whole; those that leave no room for a label are parted. Where some labels have no place
    even so, and this is the `last` way to draw the sheet, all are placed again by annealing.
    """
    seats, welds, whole = Seats(), {}, {}
    by_length: list[Chain] = []
    for chain in chains([one for one in drawing.dimensions if not one.beside]):
        number = _seated_whole(chain, seats, placed, scene, room)
        if number is None:
            by_length.append(chain)
        else:
            whole[number] = chain
    for weld, at, _ in scene.welds:
        number = seats.add(candidates(_weld_label(weld, at, scene), scene, room))
        welds[number] = weld
        seats.seat(number, 0)
    for label in _without_leaders(drawing, placed, scene):
        seats.seat(seats.add(candidates(label, scene, room)), 0)
    for chain in by_length:
        _measure(chain, seats, placed, scene, room)
    for mark in drawing.marks:
        seats.seat(seats.add(candidates(_mark_label(mark, placed, scene), scene, room)), 0)
    seats.seat_rest()
    parted = seats.in_the_way(whole)
    for number in parted:
        seats.drop(number)
        _measure(whole[number], seats, placed, scene, room)
    if parted:
        seats.seat_rest()
    seats = seats.settled()
    left = len(seats.places) - len(seats.seated)
    if left and last:
        return _annealed(seats, welds)
    return _arranged(seats.seated, welds, left)


def _seated_whole(chain: Chain, seats: Seats, placed: Placed, scene: Scene, room: Box) -> int | None:
    """Seat a chain of several lengths as one; its number, or none where it has no place."""
    if len(chain) == 1:
        return None
    number = seats.add(chain_candidates(chain, placed, scene, room))
    if seats.seat(number, 1):
        return number
    seats.drop(number)
    return None


def _measure(chain: Chain, seats: Seats, placed: Placed, scene: Scene, room: Box) -> None:
    """Seat the lengths of a chain one by one, each at worst as a note with a leader."""
    for one in chain:
        lines = chain_candidates((one,), placed, scene, room)
        notes = candidates(note(one, placed, scene), scene, room, AS_NOTE)
        seats.seat(seats.add(_lines_then_notes(lines, notes)), 1)


def _lines_then_notes(lines: Iterator[Candidate], notes: Iterator[Candidate]) -> Iterator[Candidate]:
    """Both by their cost; no note is made as long as lines are cheaper than any."""
    for line in lines:
        if line.cost > AS_NOTE:
            yield from merge(joined((line,), lines), notes, key=_cost)
            return
        yield line
    yield from notes


def _cost(place: Candidate) -> float:
    return place.cost


def _without_leaders(drawing: Isometric, placed: Placed, scene: Scene) -> Iterator[Label]:
    """What tells by standing near what it is about: at a break, and beside the sides of skew runs."""
    for at in scene.shortened:
        yield Label(at, "NTS", leader=False, dear=NEARBY)
    corner = end = (0.0, 0.0, 0.0)
    for one in drawing.dimensions:
        if not one.beside:
            corner, end = placed.layout.place(one.start), placed.layout.place(one.end)
            continue
        axis = along(one.start, one.end)
        x1, y1 = placed.on_sheet(corner)
        east, north, up = (b if n == axis else a for n, (a, b) in enumerate(zip(corner, end, strict=True)))
        corner = east, north, up
        x2, y2 = placed.on_sheet(corner)
        yield Label(((x1 + x2) / 2, (y1 + y2) / 2), one.words, leader=False, dear=NEARBY)


def _annealed(seats: Seats, welds: dict[int, Weld]) -> Arranged:
    """All labels placed anew among their cheapest places, so that as few as can be meet anything."""
    all_places = {number: places.first(KEPT) for number, places in seats.places.items()}
    homes = [number for number, places in all_places.items() if places]
    choices = choices_of([all_places[number] for number in homes])
    chosen = choose(choices, Schedule(moves=MOVES * len(homes), warm=12.0, cold=0.5, penalty=PENALTY))
    in_conflict = Arrangement(choices, PENALTY, chosen).in_conflict
    taken = {
        number: all_places[number][position - first]
        for number, position, first in zip(homes, chosen, choices.firsts, strict=False)
    }
    return _arranged(taken, welds, in_conflict + len(all_places) - len(homes))


def _arranged(taken: dict[int, Candidate], welds: dict[int, Weld], homeless: int) -> Arranged:
    written = [
        Written(welds.get(number), place.shapes(), place.ring, place.leader) for number, place in sorted(taken.items())
    ]
    extent = around_all(place.extent for place in taken.values()) if taken else None
    return Arranged(written, homeless, extent)


def choices_of(places: Sequence[Sequence[Candidate]]) -> Choices:
    """The places of all labels as choices, with what stands in whose way; only those near each other are compared."""
    flat = [place for some in places for place in some]
    firsts = list(accumulate((len(some) for some in places), initial=0))
    owner = [label for label, some in enumerate(places) for _ in some]
    near: defaultdict[int, list[int]] = defaultdict(list)
    clashes: list[list[int]] = [[] for _ in flat]
    for number, place in enumerate(flat):
        others = sorted({other for square in place.squares for other in near[square] if owner[other] != owner[number]})
        for other in others:
            if clash(place, flat[other]):
                clashes[number].append(other)
                clashes[other].append(number)
        for square in place.squares:
            near[square].append(number)
    return Choices(firsts, [place.cost for place in flat], [tuple(some) for some in clashes], [False] * len(flat))


def _weld_label(weld: Weld, at: Point, scene: Scene) -> Label:
    start = {"shop": 3.6, "field": 4.6}.get(weld.joint.location, 6.4)
    directions = tuple(scene.directions.get(key(weld.at), ()))
    # A finding is told by a sign beside the number, not by colour alone.
    words = weld.joint.number + FINDING.get(weld.finding, "")
    return Label(at, words, "ring", start, directions)


def _mark_label(mark: Mark, placed: Placed, scene: Scene) -> Label:
    if mark.kind == "support":
        foot, upwards = scene.feet[key(mark.at)]
        return Label(foot, mark.words, start=3.0, directions=(upwards,))
    at = placed.point(mark.at)
    if mark.kind in FRAMES:
        at = scene.whole(at)
    return Label(at, mark.words, FRAMES.get(mark.kind, ""), directions=tuple(scene.directions.get(key(mark.at), ())))
