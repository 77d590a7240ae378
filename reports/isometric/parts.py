"""A drawing too large for one sheet, taken apart at a weld: each joint, length and mark stands on one sheet only."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import dist

from reports.isometric.drawn import Dimension, Isometric, Leg, Mark, Place, key

INNER = (0.2, 0.8)  # the cut lies between these shares of the joints
FIELD = 0.15  # how much further off the middle a field weld may be and still be the better cut


@dataclass(frozen=True, slots=True)
class Part:
    """What stands on one sheet; ghosts are legs of another sheet that a dimension reaches over."""

    drawing: Isometric
    ghosts: tuple[Leg, ...] = ()


def halves(part: Part) -> tuple[Part, Part] | None:
    """The part as two, cut at a weld near its middle, best at a field weld; none if it has no weld inside."""
    drawing = part.drawing
    cut = _cut(drawing)
    if cut is None:
        return None
    first = _with_whole_fittings(drawing.legs, cut)
    sides = [leg for leg in drawing.legs if id(leg) in first], [leg for leg in drawing.legs if id(leg) not in first]
    if not all(sides):
        return None
    welds = {key(weld.at): weld.joint.number for weld in drawing.welds}
    shared = _nodes(sides[0]) & _nodes(sides[1])
    matches = [
        Mark(place, f"Match at joint {welds[key(place)]}" if key(place) in welds else "Match", "continuation")
        for place in _places(drawing.legs)
        if key(place) in shared
    ]
    homes = {id(one): _home(one, sides) for one in drawing.dimensions}
    made = []
    for side, legs in enumerate(sides):
        taken = _nodes(sides[0]) if side else set()
        dimensions = tuple(one for one in drawing.dimensions if homes[id(one)] == side)
        others = [*sides[1 - side], *part.ghosts]
        ghosts = tuple(leg for leg in others if any(_within(leg, one) for one in dimensions))
        kept = tuple(mark for mark in drawing.marks if _touches(mark.at, sides[0]) != bool(side))
        made.append(
            Part(
                replace(
                    drawing,
                    legs=tuple(legs),
                    welds=tuple(w for w in drawing.welds if key(w.at) in _nodes(legs) and key(w.at) not in taken),
                    dimensions=dimensions,
                    marks=(*kept, *matches),
                ),
                ghosts,
            )
        )
    return made[0], made[1]


def _cut(drawing: Isometric) -> int | None:
    """The number of legs before the best cut."""
    field = {key(weld.at): weld.joint.location != "shop" for weld in drawing.welds}
    total, done = max(1, len(field)), 0
    best: tuple[float, int] | None = None
    for number, leg in enumerate(drawing.legs[:-1], start=1):
        if key(leg.end) in field and key(leg.end) == key(drawing.legs[number].start):
            done += 1
            share = done / total
            if INNER[0] <= share <= INNER[1]:
                score = abs(share - 0.5) - FIELD * field[key(leg.end)]
                best = min(best, (score, number)) if best else (score, number)
        elif key(leg.end) in field:
            done += 1
    return best[1] if best else None


def _with_whole_fittings(legs: Sequence[Leg], cut: int) -> set[int]:
    """Legs up to the cut, with those later ones that belong to a fitting begun before it."""
    marks = {leg.mark for leg in legs[:cut] if leg.mark}
    return {id(leg) for number, leg in enumerate(legs) if number < cut or leg.mark in marks}


def _home(one: Dimension, sides: tuple[list[Leg], list[Leg]]) -> int:
    """The side that has more of the length."""
    shares = [sum(dist(leg.start, leg.end) for leg in legs if _within(leg, one)) for legs in sides]
    if shares[0] == shares[1] == 0:
        return int(not _touches(one.start, sides[0]))
    return int(shares[1] > shares[0])


def _within(leg: Leg, one: Dimension) -> bool:
    return _between(leg.start, one) and _between(leg.end, one)


def _between(place: Place, one: Dimension | Leg) -> bool:
    return abs(dist(one.start, place) + dist(place, one.end) - dist(one.start, one.end)) < 1e-3


def _touches(place: Place, legs: Sequence[Leg]) -> bool:
    return any(_between(place, leg) for leg in legs)


def _nodes(legs: Sequence[Leg]) -> set[tuple[int, int, int]]:
    return {key(place) for leg in legs for place in (leg.start, leg.end)}


def _places(legs: Sequence[Leg]) -> list[Place]:
    return list({key(place): place for leg in legs for place in (leg.start, leg.end)}.values())
