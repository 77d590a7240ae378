"""A route's shape as the drawing of it: centreline, welds where their pieces meet, dimensions, marks, bill and cuts."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from math import dist

from reports.data import MapJoint, Ring, TitleBlock
from reports.isometric.drawn import BillRow, CutRow, Dimension, Isometric, Leg, Mark, Place, Weld, key
from reports.isometric.projection import along
from reports.isometric.symbols import aside_of
from rules.route import shape as route
from rules.route.bill import bill_of
from rules.size_words import show_pipe_size
from rules.units import SI, US

# How a component is drawn; a blind is the flange that closes the pipe, an item is drawn as an instrument.
SYMBOLS = {
    route.TEE: "tee", route.COUPLING: "coupling", route.HALF_COUPLING: "olet", route.CAP: "cap",
    route.CONCENTRIC: "reducer", route.ECCENTRIC: "eccentric", route.OLET: "olet", route.PAD: "pad",
    route.WELD_NECK: "flange", route.SLIP_ON: "flange", route.SOCKET_FLANGE: "flange", route.BLIND: "flange",
    route.GASKET: "gasket", route.VALVE: "valve", route.INSTRUMENT: "instrument", route.ITEM: "instrument",
} | dict.fromkeys(route.ELBOWS, "elbow")  # fmt: skip
ON_HEADER = (route.OLET, route.HALF_COUPLING)
PLANNED = Ring("planned")
THINNEST = Decimal(10)  # mm; the thickness of a gasket stands in the bill
WITHIN = 0.5  # mm, of a node from a pipe's axis
SHEETS = re.compile(r"(sheets?|sht|drawing|dwg|isometric|iso|line|spool|page|part)\b|\d", re.IGNORECASE)
REACH = 120.0  # mm between a piece's end and the weld that is made there: gap, insertion, depth of a socket

Span = tuple[tuple[int, float], Leg]  # where it comes in the flow, and the leg


@dataclass(frozen=True, slots=True)
class Writing:
    """How the lists are written: a length in the job's units, and the material and heat of a piece by its mark.

    units   of the job: US (feet and inches, NPS) or SI (mm, DN)
    """

    length: Callable[[Decimal], str]
    units: str = SI
    materials: Mapping[str, str] = field(default_factory=dict)
    heats: Mapping[str, str] = field(default_factory=dict)


def from_route(
    shape: route.RouteShape,
    *,
    title: TitleBlock,
    writing: Writing,
    joints: Mapping[str, Weld],
    paper: str = "A3",
    as_built: bool = False,
    gone: Sequence[Weld] = (),
) -> Isometric:
    """The drawing of a route.

    joints  what is known of each joint by its number; one that is not there is drawn as planned
    gone    joints of the sheet that are withdrawn and that the route has no more
    """
    ends = _Ends(shape)
    legs = tuple(leg for _, leg in sorted(_legs(shape, ends), key=lambda one: one[0]))
    return Isometric(
        title=title,
        legs=legs,
        welds=tuple(_weld(place, joints, writing.units) for place in shape.joints),
        dimensions=tuple(_measured(one, legs) for one in shape.dimensions if one.length_mm >= THINNEST),
        marks=tuple(_marks(shape, legs)),
        bill=tuple(_bill(shape, writing)),
        cuts=tuple(_cut(pipe, shape, writing) for pipe in shape.pipes),
        paper=paper,
        units="feet and inches" if writing.units == US else "mm",
        as_built=as_built,
        gone=tuple(gone),
        notes=_taken_as(shape.from_start),
        coordinates_in=writing.units,
    )


def _taken_as(axes: Sequence[str]) -> tuple[str, ...]:
    """Which coordinates are none of the plant's, since the route's start was given none."""
    return (f"Start taken as {', '.join(f'{name} 0' for name in axes)}: none given",) if axes else ()


def _measured(one: route.Dimension, legs: Iterable[Leg]) -> Dimension:
    """A dimension as it is drawn: that of an eccentric reducer goes along the pipe, and not aside."""
    start, end = one.start.floats(), one.end.floats()
    if along(start, end) is None:
        for leg in legs:
            if leg.kind == "eccentric" and {key(leg.start), key(leg.end)} == {key(start), key(end)}:
                aside = aside_of(leg)
                east, north, up = (
                    a if axis == aside else b for axis, (a, b) in enumerate(zip(start, end, strict=True))
                )
                return Dimension(start, (east, north, up), one.text, goes_on=end)
    return Dimension(start, end, one.text, one.of == "offset")


class _Ends:
    """The ends of pieces, brought together where they are welded: a gap of 1.6 mm is no leg of its own."""

    def __init__(self, shape: route.RouteShape) -> None:
        ends: dict[str, list[Place]] = {pipe.mark: [pipe.first.floats(), pipe.last.floats()] for pipe in shape.pipes}
        ends |= {one.mark: [end.at.floats() for end in one.ends] for one in shape.components}
        self._drawn: dict[tuple[str, int], Place] = {}
        for joint in shape.joints:
            at = joint.at.floats()
            for mark in (joint.piece_a, joint.piece_b):
                near = min(enumerate(ends.get(mark, ())), key=lambda one: dist(one[1], at), default=None)
                if near is not None and dist(near[1], at) < REACH:
                    self._drawn[mark, near[0]] = at

    def of(self, mark: str, number: int, end: Place) -> Place:
        """Where an end of a piece is drawn: at its weld, if it has one there."""
        return self._drawn.get((mark, number), end)


def _legs(shape: route.RouteShape, ends: _Ends) -> Iterable[Span]:
    nodes = {node.number: node.at.floats() for node in shape.nodes}
    feet = _feet(shape)
    taps = [one.centre.floats() for one in shape.components if one.kind in ON_HEADER]
    taps += [foot for foot, _ in feet.values()]
    for pipe in shape.pipes:
        first, last = ends.of(pipe.mark, 0, pipe.first.floats()), ends.of(pipe.mark, 1, pipe.last.floats())
        met = [nodes[number] for number in pipe.through if number in nodes] + taps
        stops = sorted({key(place): place for place in met if _inside(place, first, last)}.values(),
                       key=lambda place: dist(first, place))  # fmt: skip
        if pipe.mark in feet:
            foot, at = feet[pipe.mark]
            yield (pipe.end, -1.0), Leg(foot, at, "tee", pipe.mark)
        for start, end in zip((first, *stops), (*stops, last), strict=True):
            yield (pipe.end, dist(first, start) / 1e6), Leg(start, end, "pipe", pipe.mark)
    for number, one in enumerate(shape.components):
        yield from _component(one, number, ends)


def _feet(shape: route.RouteShape) -> dict[str, tuple[Place, Place]]:
    """For each pipe set on another one: where its axis meets that of the header, and its weld."""
    pipes = {pipe.mark: pipe for pipe in shape.pipes}
    found = {}
    for joint in shape.joints:
        header = pipes.get(joint.piece_a)
        if joint.kind == "branch" and header is not None and joint.piece_b in pipes:
            found[joint.piece_b] = _on_axis(joint.at.floats(), joint.axis.floats(), header), joint.at.floats()
    return found


def _on_axis(at: Place, way: Place, header: route.PipePiece) -> Place:
    """The place on the header's axis that is nearest to the axis of the branch."""
    start, along = header.first.floats(), header.direction.floats()
    apart = tuple(a - b for a, b in zip(at, start, strict=True))
    cosine = sum(a * b for a, b in zip(along, way, strict=True))
    ahead, aside = (sum(a * b for a, b in zip(apart, one, strict=True)) for one in (along, way))
    share = (ahead - cosine * aside) / (1 - cosine * cosine) if abs(cosine) < 0.999 else ahead
    east, north, up = (round(a + b * share, 3) for a, b in zip(start, along, strict=True))
    return east, north, up


def _inside(place: Place, first: Place, last: Place) -> bool:
    """Whether a place lies on a pipe's axis, between its ends."""
    whole = dist(first, last)
    if whole < 2:
        return False
    share = sum((p - a) * (b - a) for p, a, b in zip(place, first, last, strict=True)) / whole**2
    foot = [a + share * (b - a) for a, b in zip(first, last, strict=True)]
    return dist(foot, place) < WITHIN and 1 < share * whole < whole - 1


def _component(one: route.Component, number: int, ends: _Ends) -> Iterable[Span]:
    kind = SYMBOLS[one.kind]
    if kind == "pad":
        return
    centre = one.centre.floats()
    places = [ends.of(one.mark, place, end.at.floats()) for place, end in enumerate(one.ends)]
    when = (one.node, 0.5 + number / 1e6)
    if one.kind in ON_HEADER and len(places) == 2:
        foot, outlet = places
        if dist(centre, foot) > 1:
            yield when, Leg(centre, foot, "tee", one.mark)
        yield (one.node, 0.6 + number / 1e6), Leg(foot, outlet, kind, one.mark)
    elif kind in {"elbow", "tee"}:
        way_in, *outs = places
        yield when, Leg(way_in, centre, kind, one.mark)
        for out in outs:
            yield when, Leg(centre, out, kind, one.mark)
    elif len(places) >= 2:
        if dist(places[0], places[1]) > 0.5:
            yield when, Leg(places[0], places[1], kind, one.mark, _narrows(one))
    elif places:
        # A cap and a blind go from their one end to where they close the pipe.
        outward = one.ends[0].outward.floats()
        length = float(one.length_mm) or max(dist(centre, places[0]), 25.0)
        east, north, up = (at - way * length for at, way in zip(places[0], outward, strict=True))
        yield when, Leg(places[0], (east, north, up), kind, one.mark)


def _narrows(one: route.Component) -> int:
    return 1 if one.ends[0].nps == one.nps or one.ends[1].nps != one.nps else -1


def _weld(place: route.JointPlace, joints: Mapping[str, Weld], units: str) -> Weld:
    at, known = place.at.floats(), joints.get(place.number)
    symbol = weld_words(place.kind, place.location, known.leg if known is not None else "")
    if known is not None:
        return replace(known, at=at, symbol=known.symbol or symbol)
    size = show_pipe_size(place.nps, place.schedule, units)
    joint = MapJoint(place.number or "–", PLANNED, place.kind, size, place.location, place.spool, place.spool_b)
    return Weld(at, joint, symbol)


def weld_words(kind: str, location: str, leg: str = "") -> str:
    """A weld's symbol in words, in the order of its reference line: size, weld, all around, field."""
    words = {
        "butt": "V groove, all around",
        "socket": "fillet, all around",
        "slip-on": "fillet, both sides, all around",
        "branch": "bevel groove and fillet, all around",
        "olet": "bevel groove and fillet, all around",
        "pad": "fillet, all around",
        "seal": "seal weld, all around",
        "attachment": "fillet",
    }[kind]
    sized = f"{leg} {words}" if leg and "fillet" in words else words
    return sized if location == "shop" else f"{sized}, {location}"


def _marks(shape: route.RouteShape, legs: Sequence[Leg]) -> Iterable[Mark]:
    pipes: dict[str, Leg] = {}
    for leg in legs:
        if leg.kind == "pipe" and (leg.mark not in pipes or _length(leg) > _length(pipes[leg.mark])):
            pipes[leg.mark] = leg
    yield from (Mark(_part_way(leg, 0.42), mark, "piece") for mark, leg in pipes.items())
    for spool in shape.spools:
        own = [pipes[mark] for mark in spool.pieces if mark in pipes]
        if own:
            yield Mark(_part_way(max(own, key=_length), 0.62), spool.mark, "spool")
    for one in shape.components:
        if one.tag:
            ends = [end.at.floats() for end in one.ends[:2]] or [one.centre.floats()]
            middle = tuple(sum(part) / len(ends) for part in zip(*ends, strict=True))
            yield Mark((middle[0], middle[1], middle[2]), one.tag, "tag")
    level = _level_nodes(legs)
    yield from (Mark(one.at.floats(), one.text, "level") for one in shape.elevations if key(one.at.floats()) in level)
    yield from (Mark(one.at.floats(), one.name or one.kind, "support") for one in shape.supports)
    yield from _at_ends(shape)


def _at_ends(shape: route.RouteShape) -> Iterable[Mark]:
    """One call-out at each end of the route: what it meets there or where it goes on, and its coordinates."""
    goes_on = {one.at: goes_on_words(one) for one in shape.continuations}
    for one in shape.end_places:
        words = goes_on.pop(one.at, "")
        lines = (words, *one.text) if words else one.text
        yield Mark(one.at.floats(), "\n".join(lines), "continuation" if words else "place")
    yield from (Mark(at.floats(), words, "continuation") for at, words in goes_on.items())


def goes_on_words(one: route.Continuation) -> str:
    """Where the line comes from or goes on, in words: `Continued on sheet 2`, `To pump P-101`."""
    if SHEETS.match(one.text):
        return f"Continued {'from' if one.is_start else 'on'} {one.text}"
    return f"{'From' if one.is_start else 'To'} {one.text}"


def _level_nodes(legs: Iterable[Leg]) -> set[tuple[int, int, int]]:
    """Where an elevation tells something: not inside an upright run, nor along a level one but at its ends."""
    met: defaultdict[tuple[int, int, int], list[int | None]] = defaultdict(list)
    for leg in legs:
        for place in (leg.start, leg.end):
            met[key(place)].append(along(leg.start, leg.end))
    return {place for place, axes in met.items() if len(axes) == 1 or len(set(axes)) > 1}


def _length(leg: Leg) -> float:
    return dist(leg.start, leg.end)


def _part_way(leg: Leg, share: float) -> Place:
    east, north, up = (a + (b - a) * share for a, b in zip(leg.start, leg.end, strict=True))
    return east, north, up


def _bill(shape: route.RouteShape, writing: Writing) -> Iterable[BillRow]:
    for row in bill_of(shape, writing.units):
        rating = f"Class {row.pressure_class}" if row.pressure_class else row.schedule
        size = show_pipe_size(row.nps, rating, writing.units, row.second_nps)
        quantity = str(row.count) if row.length_mm is None else writing.length(row.length_mm)
        materials, heats = (
            ", ".join(dict.fromkeys(known[mark] for mark in row.marks if known.get(mark)))
            for known in (writing.materials, writing.heats)
        )
        yield BillRow(", ".join(row.marks), quantity, row.what, size, materials, heats, row.spool)


def _cut(pipe: route.PipePiece, shape: route.RouteShape, writing: Writing) -> CutRow:
    kinds = [
        next((joint.kind for joint in shape.joints if pipe.mark in (joint.piece_a, joint.piece_b)
              and dist(joint.at.floats(), end.floats()) < REACH), "plain")
        for end in (pipe.first, pipe.last)
    ]  # fmt: skip
    note = f"{writing.length(pipe.allowance_mm)} left on to trim in the field" if pipe.allowance_mm else ""
    size = show_pipe_size(pipe.nps, pipe.schedule, writing.units)
    return CutRow(
        pipe.mark, size, writing.length(pipe.cut_mm), " / ".join(kinds),
        writing.heats.get(pipe.mark, ""), pipe.spool, note,
    )  # fmt: skip
