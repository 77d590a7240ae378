"""The parts of a piping model with the ports they meet at, and where each part bends, branches or narrows.

A part that a route can't say, or whose model says too little, is refused with a sentence; nothing about it is guessed.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache

from rules.cut_length import end
from rules.nearest import NotAccepted
from rules.pipe import pipe, sizes
from rules.route.legs import tangent
from rules.route.shape import BUTT, SOCKET
from rules.route.vector import Vector, angle_between
from rules.units import MM_PER_INCH

SEGMENT, BEND, JUNCTION, TRANSITION, CONNECTOR, OBSTRUCTION = (
    "segment", "bend", "junction", "transition", "connector", "obstruction",
)  # fmt: skip
VALVE, INSTRUMENT, ITEM, EQUIPMENT = "valve", "instrument", "item", "equipment"
FITTINGS = (BEND, JUNCTION, TRANSITION, CONNECTOR, OBSTRUCTION)
BY_LENGTH = (VALVE, INSTRUMENT, ITEM)
WELDED, FLANGED = "welded", "flanged"

# Ports and axes of one place may differ by so much: what models are exported with.
NEAR_MM = Decimal("0.5")
NEAR_DEGREES = 0.5
_NEAR_WALL_MM = Decimal("0.06")
_NEAR_OD_MM = Decimal("0.5")
_NEAR_TAKEOUT_MM = Decimal(2)
_NIL = Decimal(0)
_CLASS = re.compile(r"\b(?:class|cl\.?)\s*(\d{3,4})\b|\b(\d{3,4})\s*(?:#|lbs?\b)", re.IGNORECASE)
_CONNECTORS = {
    "coupling": r"\b(?<!half )(?<!half-)coupling\b",
    "half coupling": r"\bhalf[ -]coupling\b",
    "olet": r"\b\w*olet\b",
    "union": r"\bunion\b",
}
_FLANGE_KINDS = {
    "weld-neck": r"\bweld(?:ing)?[ -]?neck\b|\bWN\b",
    "slip-on": r"\bslip[ -]?on\b|\bSO\b",
    "socket": r"\bsocket\b|\bSW\b",
}


@dataclass(frozen=True, slots=True)
class Port:
    """Where a part meets another.

    at      in mm from the model's zero: x is east, y north, z up
    axis    the direction that the model gives the port; None where it gives none
    to      the key of the port it is connected to; empty where it is free
    is_in   the flow enters the part here; False also where nothing is said
    joined  WELDED, FLANGED, another way as the model names it, or empty where it says nothing
    nps     its size; empty where nothing is said
    """

    key: str
    at: Vector
    axis: Vector | None = None
    to: str = ""
    is_in: bool = False
    joined: str = ""
    nps: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a model.

    kind    SEGMENT, one of FITTINGS or BY_LENGTH, EQUIPMENT, or empty where the model doesn't say what it is
    called  as a sentence names it: its name, class and number in the file
    line    the system that it belongs to
    words   everything that the model writes about it, for its class and kind
    schedule of a segment; empty where the model gives no wall
    """

    key: str
    kind: str
    name: str
    called: str
    ports: tuple[Port, ...]
    line: str = ""
    words: str = ""
    nps: str = ""
    schedule: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True)
class Unread:
    """A part that no route has, and why."""

    part: str
    why: str


class Refused(Exception):
    """A part that can't be read; the sentence says why."""


def size_for(nominal_mm: Decimal | None, outside_mm: Decimal | None) -> str:
    """The NPS of a nominal diameter (a DN, or inches in mm) or else of an outside one; empty where no pipe has it."""
    for nps, dn, inches, outside in _sizes():
        if nominal_mm is not None and (abs(nominal_mm - dn) < _NEAR_WALL_MM or abs(nominal_mm - inches) < NEAR_MM):
            return nps
        if nominal_mm is None and outside_mm is not None and abs(outside_mm - outside) < _NEAR_OD_MM:
            return nps
    return ""


def schedule_for(nps: str, wall_mm: Decimal) -> str:
    """The schedule whose wall this is, to 0.06 mm; empty where the size has none such."""
    for schedule in sorted(sizes().get(nps, ()), key=lambda one: not one.isdigit()):
        one = pipe(nps, schedule)
        if min(abs(one.wall_mm - wall_mm), abs(one.wall_in * MM_PER_INCH - wall_mm)) <= _NEAR_WALL_MM:
            return schedule
    return ""


@cache
def _sizes() -> tuple[tuple[str, Decimal, Decimal, Decimal], ...]:
    found = []
    for nps, schedules in sizes().items():
        one = pipe(nps, schedules[0])
        whole, _, part = nps.rpartition("-")
        over, _, under = part.partition("/")
        inches = Decimal(whole or 0) + Decimal(over) / Decimal(under or 1)
        found.append((nps, Decimal(one.dn), inches * MM_PER_INCH, one.od_mm))
    return tuple(found)


@dataclass(slots=True)
class Model:
    """The parts that a route can have, those that none can, and what was read with a remark."""

    parts: dict[str, Part]
    unread: list[Unread] = field(default_factory=list)
    notices: dict[str, None] = field(default_factory=dict)
    owners: dict[str, Part] = field(default_factory=dict)
    ports: dict[str, Port] = field(default_factory=dict)
    centres: dict[str, Vector] = field(default_factory=dict)

    def refuse(self, part: Part, why: str) -> None:
        """Take a part out, with the reason."""
        self.parts.pop(part.key, None)
        self.unread.append(Unread(part.called, why))

    def beyond(self, port: Port) -> tuple[Part, Port] | None:
        """The part that a port is connected to, and its port; None where it is free or what follows isn't read."""
        other = self.ports.get(port.to)
        owner = self.owners.get(port.to)
        if other is None or owner is None or owner.key not in self.parts:
            return None
        return owner, other

    def size_at(self, part: Part, port: Port) -> str:
        """The size at a port: the part's, the port's own, or that of the pipe it meets, through what keeps its size."""
        seen = {part.key}
        while True:
            if found := part.nps or port.nps:
                return found
            met = self.beyond(port)
            if met is None or met[0].key in seen:
                return ""
            part, port = met
            if found := part.nps or port.nps:
                return found
            if part.kind == TRANSITION or len(part.ports) != 2:
                return ""
            seen.add(part.key)
            port = other_port(part, port)

    def inward(self, port: Port) -> Vector | None:
        """The direction in which the line comes into a part at a port, by the straight part it meets there."""
        met = self.beyond(port)
        if met is None:
            return None
        part, other = met
        if not is_straight(part) or other not in ends_of(part):
            return None
        along = other.at - other_port(part, other).at
        return along.unit() if along.length() > NEAR_MM else None


def model_of(parts: Sequence[Part]) -> Model:
    """Sort parts into those that a route can have and those that it can't, and find the centres of bends and tees."""
    model = Model({one.key: one for one in parts})
    for part in parts:
        for port in part.ports:
            model.owners[port.key], model.ports[port.key] = part, port
    for part in parts:
        try:
            _look(model, part)
        except Refused as refused:
            model.refuse(part, str(refused))
    # A tee's branch and a bend's turn need their neighbours' directions, those that were refused among them.
    for part in list(model.parts.values()):
        try:
            _place(model, part)
        except Refused as refused:
            model.refuse(part, str(refused))
    return model


def is_straight(part: Part) -> bool:
    """Whether a part goes straight from its one port to its other."""
    return len(part.ports) == 2 and part.kind in (SEGMENT, CONNECTOR, *BY_LENGTH) or is_tapped(part)


def is_tapped(part: Part) -> bool:
    """Whether it is a pipe with more ports between its ends."""
    return part.kind == SEGMENT and len(part.ports) > 2


def ends_of(part: Part) -> tuple[Port, Port]:
    """The two ports of a pipe that lie farthest apart."""
    pairs = [(one, two) for index, one in enumerate(part.ports) for two in part.ports[index + 1 :]]
    return max(pairs, key=lambda pair: (pair[0].at - pair[1].at).length())


def other_port(part: Part, port: Port) -> Port:
    """The far port of a part with two; of a tapped pipe its far end."""
    one, two = ends_of(part) if len(part.ports) > 2 else part.ports
    return two if port.key == one.key else one


def class_said(part: Part) -> str:
    """The class that a part's words name: `150` of "Class 150", "CL300" or "150#"; empty where they name none."""
    found = {one or two for one, two in _CLASS.findall(part.words)}
    return found.pop() if len(found) == 1 else ""


def flange_kind(part: Part) -> str:
    """The kind of flange that a part's words name; empty where they name none."""
    kinds = [kind for kind, pattern in _FLANGE_KINDS.items() if re.search(pattern, part.words, re.IGNORECASE)]
    return kinds[0] if len(kinds) == 1 else ""


def is_flange(part: Part) -> bool:
    """Whether a connector is welded on one side and bolted on the other."""
    return part.kind == CONNECTOR and {one.joined for one in part.ports} == {WELDED, FLANGED}


def face_of(part: Part) -> Port:
    """The bolted port of a flange or blind."""
    return next(one for one in part.ports if one.joined == FLANGED)


# --- what a part must have ---


def _look(model: Model, part: Part) -> None:
    if part.why:
        raise Refused(part.why)
    if part.kind == EQUIPMENT:
        model.parts.pop(part.key)
        return
    if not part.kind:
        raise Refused(
            "The model doesn't say what it is; accepted are pipes, pipe fittings of a type, valves and meters."
        )
    if not part.ports:
        raise Refused("It has no ports, so that nothing says where it meets others.")
    strange = sorted({one.joined for one in part.ports} - {"", WELDED, FLANGED})
    if strange:
        raise Refused(f"An end of it is joined otherwise than by a weld or bolts: {', '.join(strange)}.")
    _LOOKS[part.kind](model, part)
    if any(not one.joined for one in part.ports) and part.kind != SEGMENT:
        model.notices["The model does not say how every end is joined; such ends are read as welded."] = None


def _look_segment(model: Model, part: Part) -> None:
    if len(part.ports) < 2:
        raise Refused("A pipe needs a port at each end, and this has one.")
    if not part.nps:
        raise Refused("Its diameter is not said, or no pipe of ASME B36.10M or B36.19M has it.")
    one, two = ends_of(part)
    if (one.at - two.at).length() <= NEAR_MM:
        raise Refused("Its two ends are at one place.")
    if not part.schedule:
        told = "No wall that a schedule has is said of pipe {} NPS {}; there the line's schedule is taken."
        model.notices[told.format(f"in {part.line}," if part.line else "of", part.nps)] = None


def _look_bend(model: Model, part: Part) -> None:
    _count(part, 2, "A bend")
    _all_welded(part, "A bend")


def _look_junction(model: Model, part: Part) -> None:
    _count(part, 3, "A tee")
    _all_welded(part, "A tee")


def _look_transition(model: Model, part: Part) -> None:
    _count(part, 2, "A reducer")
    _all_welded(part, "A reducer")


def _look_connector(model: Model, part: Part) -> None:
    if len(part.ports) == 2 and is_flange(part):
        if not class_said(part):
            raise Refused("It is a flange whose class the model doesn't say; accepted are words such as Class 150.")
        if not flange_kind(part):
            told = "Whether a flange is weld-neck, slip-on or socket isn't said of each; the size decides there."
            model.notices[told] = None
        return
    _count(part, 2, "A connector")
    if any(one.joined == FLANGED for one in part.ports):
        raise Refused("It is bolted on both sides; accepted is a connector with a welded end.")
    if not called(part):
        accepted = "a name with coupling, half coupling, olet, union or flange in it"
        raise Refused(f"What joins here isn't said; accepted is {accepted}.")


def called(part: Part) -> str:
    """What a connector's words call it: one of the names above; empty where they call it nothing, or several."""
    found = {name for name, pattern in _CONNECTORS.items() if re.search(pattern, part.words, re.IGNORECASE)}
    return found.pop() if len(found) == 1 else ""


def _look_obstruction(model: Model, part: Part) -> None:
    _count(part, 1, "A cap")


def _look_by_length(model: Model, part: Part) -> None:
    _count(part, 2, "A valve or another thing of length")
    if (part.ports[0].at - part.ports[1].at).length() <= NEAR_MM:
        raise Refused("Its two ends are at one place, so that it has no length.")


_LOOKS = {
    SEGMENT: _look_segment,
    BEND: _look_bend,
    JUNCTION: _look_junction,
    TRANSITION: _look_transition,
    CONNECTOR: _look_connector,
    OBSTRUCTION: _look_obstruction,
    VALVE: _look_by_length,
    INSTRUMENT: _look_by_length,
    ITEM: _look_by_length,
}


def _count(part: Part, ports: int, what: str) -> None:
    if len(part.ports) != ports:
        are = "1 port" if ports == 1 else f"{ports} ports"
        raise Refused(f"{what} has {are} in a route, and this has {len(part.ports)}.")


def _all_welded(part: Part, what: str) -> None:
    if any(one.joined == FLANGED for one in part.ports):
        raise Refused(f"{what} with a bolted end can't be written in a route.")


# --- where a part bends, branches or narrows ---


def _place(model: Model, part: Part) -> None:
    if part.kind == BEND:
        model.centres[part.key] = _bend_centre(model, part)
    elif part.kind == JUNCTION:
        run, outlet, centre = tee_of(model, part)
        model.centres[part.key] = centre
        if any(not model.size_at(part, one) for one in (*run, outlet)):
            raise Refused("The size of one of its ends is not said.")
    elif part.kind == TRANSITION:
        _check_reducer(model, part)
    elif is_straight(part):
        _check_straight(model, part)


def _check_straight(model: Model, part: Part) -> None:
    """What goes straight must lie in line with the straight parts it meets."""
    one, two = ends_of(part)
    along = (two.at - one.at).unit()
    for port, direction in ((one, along), (two, -along)):
        ahead = model.inward(port)
        if ahead is not None and angle_between(ahead, direction) > NEAR_DEGREES:
            raise Refused(
                f"It doesn't lie in line with what it meets: the line turns by {angle_between(ahead, direction):.1f}°."
            )


def _bend_centre(model: Model, part: Part) -> Vector:
    """Where the axes of a bend's two sides meet."""
    one, two = part.ports
    first, second = model.inward(one), model.inward(two)
    if first is None and second is None:
        first, second = _by_axes(one, two)
    if first is None or second is None:
        known, port, far = (first, one, two) if first is not None else (second, two, one)
        assert known is not None
        centre = _mirrored(port.at, known, far.at)
    else:
        centre = _meeting(one.at, first, two.at, second)
    reach = (centre - one.at).length(), (centre - two.at).length()
    if abs(reach[0] - reach[1]) > NEAR_MM:
        raise Refused(f"Its two sides are {reach[0]:.1f} and {reach[1]:.1f} mm long; an elbow's are alike.")
    turn = angle_between(centre - one.at, two.at - centre)
    if turn > 90 + NEAR_DEGREES:
        raise Refused(f"It turns by {turn:.1f}°; accepted are turns up to 90°, by one elbow.")
    _check_radius(model, part, reach[0], turn)
    return centre


def _by_axes(one: Port, two: Port) -> tuple[Vector | None, Vector | None]:
    """The directions that the model gives the ports, turned into the bend; it meets no straight part."""
    if one.axis is None or two.axis is None:
        raise Refused("Nothing says in which direction its ends point: it meets no pipe, and its ports have no axis.")
    chord = two.at - one.at
    return tuple(axis if axis.dot(way) > 0 else -axis for axis, way in ((one.axis, chord), (two.axis, -chord)))  # type: ignore[return-value]


def _mirrored(at: Vector, ahead: Vector, far: Vector) -> Vector:
    """The place on an axis that is as far from its own end as from the other: where an elbow has its centre."""
    chord = far - at
    along = chord.dot(ahead)
    if along <= NEAR_MM:
        raise Refused("Its far end doesn't lie ahead of its near one.")
    return at + ahead.times(chord.dot(chord) / (2 * along))


def _meeting(one: Vector, first: Vector, two: Vector, second: Vector) -> Vector:
    """Where two axes meet, each from its end into the bend."""
    normal = first.cross(second)
    square = normal.dot(normal)
    if square < Decimal("1e-6"):
        raise Refused("The lines on its two sides are parallel; a bend turns.")
    chord = two - one
    ahead = chord.cross(second).dot(normal) / square
    back = chord.cross(first).dot(normal) / square
    apart = abs(chord.dot(normal)) / square.sqrt()
    if apart > NEAR_MM or ahead <= 0 or back <= 0:
        raise Refused("The lines on its two sides don't meet in one point ahead.")
    return one + first.times(ahead)


def _check_radius(model: Model, part: Part, reach: Decimal, turn: float) -> None:
    """A butt-welding bend has the radius of an elbow, or is none; a socket-welding one may be drawn to either face."""
    nps = model.size_at(part, part.ports[0])
    if not nps:
        raise Refused("Its size is not said, nor that of a pipe it meets.")
    if is_short(model, part, reach, turn):
        return
    try:
        long = end("elbow-45" if abs(turn - 45) < 1 else "elbow-90", nps, BUTT, "3000", "SI").takeout_mm
    except NotAccepted:
        return
    if abs(turn - 90) >= 1 and abs(turn - 45) >= 1:
        long *= tangent(Decimal(repr(turn)) / 2)
    if reach > long + _NEAR_TAKEOUT_MM:
        raise Refused(
            f"It takes {reach:.1f} mm from its centre to its end, and a long-radius elbow NPS {nps} {long:.1f} mm"
            " (ASME B16.9): a bend of another radius can't be written in a route."
        )


def is_short(model: Model, part: Part, reach: Decimal, turn: float) -> bool:
    """Whether a bend has the centre-to-end of a short-radius elbow of ASME B16.9."""
    nps = model.size_at(part, part.ports[0])
    if abs(turn - 90) >= 1 or not nps or part_joined(nps) != BUTT:
        return False
    try:
        short = end("elbow-90-short", nps, BUTT, "3000", "SI").takeout_mm
        return abs(reach - short) <= _NEAR_TAKEOUT_MM
    except NotAccepted:
        return False


def part_joined(nps: str) -> str:
    """How a route joins a size where nothing is said: sockets to NPS 1-1/2 (common practice, no source)."""
    inches = next(inches for size, _, inches, _ in _sizes() if size == nps)
    return SOCKET if inches <= Decimal("1.5") * MM_PER_INCH else BUTT


def tee_of(model: Model, part: Part) -> tuple[tuple[Port, Port], Port, Vector]:
    """The two ports of a tee that lie in line, its outlet, and its centre."""
    for index, outlet in enumerate(part.ports):
        one, two = (port for place, port in enumerate(part.ports) if place != index)
        chord = two.at - one.at
        if chord.length() <= NEAR_MM:
            continue
        along = chord.unit()
        ahead, across = model.inward(one), model.inward(two)
        if ahead is not None and angle_between(ahead, along) > NEAR_DEGREES:
            continue
        if across is not None and angle_between(across, -along) > NEAR_DEGREES:
            continue
        centre = one.at + along.times((outlet.at - one.at).dot(along))
        reach = (outlet.at - centre).length()
        is_between = NEAR_MM < (centre - one.at).dot(along) < chord.length() - NEAR_MM
        if not is_between or reach <= NEAR_MM:
            continue
        way = model.inward(outlet)
        if way is not None and angle_between(way, (centre - outlet.at).unit()) > NEAR_DEGREES:
            continue
        return (one, two), outlet, centre
    raise Refused("No two of its three ends lie in line with the third square to them.")


def _check_reducer(model: Model, part: Part) -> None:
    one, two = part.ports
    sizes_said = model.size_at(part, one), model.size_at(part, two)
    if not all(sizes_said):
        raise Refused("The size of one of its ends is not said.")
    if sizes_said[0] == sizes_said[1]:
        raise Refused(f"It is a reducer whose two ends are both NPS {sizes_said[0]}.")
    ahead, aside = narrowing(model, part, one)
    if ahead.length() <= NEAR_MM:
        raise Refused("Its two ends are at one place, so that it has no length.")
    if aside.length() <= NEAR_MM:
        return
    shift = abs(outside(sizes_said[0]) - outside(sizes_said[1])) / 2
    if abs(aside.length() - shift) > _NEAR_TAKEOUT_MM:
        raise Refused(
            f"Its ends are {aside.length():.1f} mm out of line; those of an eccentric reducer NPS {sizes_said[0]} x"
            f" {sizes_said[1]} are {shift:.1f} mm."
        )


def narrowing(model: Model, part: Part, entered: Port) -> tuple[Vector, Vector]:
    """How far a reducer goes along its axis and aside, from the port that the route enters."""
    far = other_port(part, entered)
    chord = far.at - entered.at
    axis = model.inward(entered)
    if axis is None and (back := model.inward(far)) is not None:
        axis = -back
    if axis is None:
        return chord, Vector(_NIL, _NIL, _NIL)
    along = axis.times(chord.dot(axis))
    return along, chord - along


def outside(nps: str) -> Decimal:
    """The outside diameter of a size in mm."""
    return next(od for size, _, _, od in _sizes() if size == nps)
