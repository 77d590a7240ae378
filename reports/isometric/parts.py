"""A drawing too large for one sheet, taken apart at a weld: each joint, length and mark stands on one sheet only."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from math import dist

from reports.isometric.drawn import Dimension, Isometric, Leg, Mark, Place, key
from rules.route.vector import Vector
from rules.route.written import coordinates_text

INNER = (0.15, 0.85)  # the cut lies between these shares of the joints
Node = tuple[int, int, int]
Ends = dict[int, tuple[Node, Node]]  # of each leg by its identity
Fits = Callable[[Sequence[Leg], Sequence[Dimension]], bool]
CUTS = 12  # that are tried
FIELD = 0.15  # how much further off the middle a field weld may be and still be the better cut


@dataclass(frozen=True, slots=True)
class Part:
    """What stands on one sheet; ghosts are legs of another sheet that a dimension reaches over."""

    drawing: Isometric
    ghosts: tuple[Leg, ...] = ()


def halves(part: Part, fits: Fits) -> tuple[Part, Part] | None:
    """The part as two, cut at a weld near its middle, best at a field weld; none if it has no weld inside.

    fits  whether legs with their dimensions go on one sheet at all: the cut is moved so that both sides do, or else
          that as many joints as can be are on the side that does
    """
    drawing = part.drawing
    first = _first_side(drawing, fits)
    if first is None:
        return None
    sides = [leg for leg in drawing.legs if id(leg) in first], [leg for leg in drawing.legs if id(leg) not in first]
    if not all(sides):
        return None
    nodes = _nodes(sides[0]), _nodes(sides[1])
    welds = {key(weld.at): weld.joint.number for weld in drawing.welds}
    shared = nodes[0].keys() & nodes[1].keys()
    matches = [
        Mark(place, _match_words(place, welds.get(node, ""), drawing.coordinates_in), "continuation")
        for node, place in _nodes(drawing.legs).items()
        if node in shared
    ]
    homes = _homes(drawing.dimensions, sides)
    marked = [int(not _touches(mark.at, sides[0])) for mark in drawing.marks]
    made = []
    for side, legs in enumerate(sides):
        dimensions = tuple(one for one, home in zip(drawing.dimensions, homes, strict=True) if home == side)
        others = [*sides[1 - side], *part.ghosts]
        ghosts = tuple(leg for leg in others if any(_within(leg, one) for one in dimensions))
        kept = [mark for mark, home in zip(drawing.marks, marked, strict=True) if home == side]
        places = [(key(weld.at), weld) for weld in drawing.welds]
        made.append(
            Part(
                replace(
                    drawing,
                    legs=tuple(legs),
                    welds=tuple(weld for at, weld in places if at in nodes[side] and (side == 0 or at not in nodes[0])),
                    dimensions=dimensions,
                    marks=(*kept, *matches),
                ),
                ghosts,
            )
        )
    return made[0], made[1]


def _match_words(place: Place, joint: str, units: str) -> str:
    """The call-out at a match line, on both sheets alike."""
    words = f"Match at joint {joint}" if joint else "Match"
    if not units:
        return words
    at = Vector(*(Decimal(str(round(part, 3))) for part in place))
    return "\n".join((words, *coordinates_text(at, units)))


def _first_side(drawing: Isometric, fits: Fits) -> set[int] | None:
    """The legs of the first of two sides, each of which hangs together: by a gap that is there, or by the best cut."""
    legs = drawing.legs
    ends = {id(leg): (key(leg.start), key(leg.end)) for leg in legs}
    at: dict[Node, list[Leg]] = {}
    for leg in legs:
        for node in ends[id(leg)]:
            at.setdefault(node, []).append(leg)
    whole = _reached(legs[0], at, ends, None)
    if len(whole) < len(legs):
        return whole
    field = {key(weld.at): weld.joint.location != "shop" for weld in drawing.welds}
    cuts: list[tuple[float, int, float, set[int]]] = []
    for number, (node, in_field) in enumerate(field.items()):
        meeting = at.get(node, ())
        if len(meeting) != 2:
            continue
        side = _reached(meeting[0], at, ends, node)
        if id(meeting[1]) in side:
            continue
        inside = {end for leg in side for end in ends[leg]}
        share = (sum(one in inside for one in field) - 0.5) / len(field)
        if INNER[0] <= share <= INNER[1]:
            cuts.append((abs(share - 0.5) - FIELD * in_field, number, share, side))
    if not cuts:
        return _by_order(legs, set(field))
    best = _best_cut(sorted(cuts, key=lambda cut: cut[:2]), drawing, ends, fits)
    others = ends.keys() - best
    return best if id(legs[0]) in best else set(others)


def _best_cut(
    cuts: Sequence[tuple[float, int, float, set[int]]], drawing: Isometric, ends: Ends, fits: Fits
) -> set[int]:
    """The first cut whose sides both fit; else the one with the most joints on a side that fits, or the first."""
    best, most = cuts[0][3], 0.0
    for _, _, share, side in cuts[:: max(1, len(cuts) // CUTS)]:
        fitting = []
        for legs in (
            [leg for leg in drawing.legs if id(leg) in side],
            [leg for leg in drawing.legs if id(leg) not in side],
        ):
            nodes = {end for leg in legs for end in ends[id(leg)]}
            dimensions = [one for one in drawing.dimensions if key(one.start) in nodes and key(one.end) in nodes]
            fitting.append(fits(legs, dimensions))
        if all(fitting):
            return side
        larger = max(share * fitting[0], (1 - share) * fitting[1])
        if larger > most:
            best, most = side, larger
    return best


def _reached(
    start: Leg, at: dict[Node, list[Leg]], ends: dict[int, tuple[Node, Node]], closed: Node | None
) -> set[int]:
    """The legs that hang together with one, without going through a closed node."""
    found, ahead = {id(start)}, [id(start)]
    while ahead:
        for node in ends[ahead.pop()]:
            if node == closed:
                continue
            for other in at[node]:
                if id(other) not in found:
                    found.add(id(other))
                    ahead.append(id(other))
    return found


def _by_order(legs: Sequence[Leg], welds: set[tuple[int, int, int]]) -> set[int] | None:
    """Where every cut would leave a loop whole: the legs up to the weld nearest to the middle of the list."""
    cuts = [
        number
        for number, leg in enumerate(legs[:-1], start=1)
        if key(leg.end) in welds and key(leg.end) == key(legs[number].start)
    ]
    if not cuts:
        return None
    cut = min(cuts, key=lambda number: abs(number - len(legs) / 2))
    marks = {leg.mark for leg in legs[:cut] if leg.mark}
    return {id(leg) for number, leg in enumerate(legs) if number < cut or leg.mark in marks}


def _homes(dimensions: Sequence[Dimension], sides: tuple[list[Leg], list[Leg]]) -> list[int]:
    """The side of each length; the offsets of a skew run come after its own length, and stay with it."""
    homes: list[int] = []
    for one in dimensions:
        homes.append(homes[-1] if one.beside and homes else _home(one, sides))
    return homes


def _home(one: Dimension, sides: tuple[list[Leg], list[Leg]]) -> int:
    """The side that has more of the length."""
    shares = [sum(dist(leg.start, leg.end) for leg in legs if _within(leg, one)) for legs in sides]
    if shares[0] == shares[1] == 0:
        return int(not _touches(one.start, sides[0]))
    return int(shares[1] > shares[0])


def _within(leg: Leg, one: Dimension) -> bool:
    return _between(leg.start, one) and _between(leg.end, one)


def _between(place: Place, one: Dimension | Leg) -> bool:
    """Whether a place lies on the straight line between two others; most are told by the box around the line."""
    start, end = one.start, one.end
    for axis in range(3):
        at, first, last = place[axis], start[axis], end[axis]
        if (at < first - 1 and at < last - 1) or (at > first + 1 and at > last + 1):
            return False
    return abs(dist(start, place) + dist(place, end) - dist(start, end)) < 1e-3


def _touches(place: Place, legs: Sequence[Leg]) -> bool:
    return any(_between(place, leg) for leg in legs)


def _nodes(legs: Sequence[Leg]) -> dict[Node, Place]:
    return {key(place): place for leg in legs for place in (leg.start, leg.end)}
