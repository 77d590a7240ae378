"""The parts of a piping model with the ports they meet at, and where each part bends, branches or narrows.

A part that a route can't say, or whose model says too little, is refused with a sentence; nothing about it is guessed.
"""

import re
from dataclasses import dataclass, field
from decimal import Decimal

from rules.pipe import pipe, sizes
from rules.route.parts import size_of
from rules.route.vector import Vector
from rules.size_words import dn_of, show_size
from rules.units import MM_PER_INCH, US

SEGMENT, BEND, JUNCTION, TRANSITION, CONNECTOR, OBSTRUCTION = (
    "segment", "bend", "junction", "transition", "connector", "obstruction",
)  # fmt: skip
VALVE, INSTRUMENT, ITEM, EQUIPMENT = "valve", "instrument", "item", "equipment"
FITTINGS = (BEND, JUNCTION, TRANSITION, CONNECTOR, OBSTRUCTION)
BY_LENGTH = (VALVE, INSTRUMENT, ITEM)
WELDED, FLANGED = "welded", "flanged"

# Ports and axes of one place may differ by so much: what models are exported with.
NEAR_MM = Decimal("0.5")
_NEAR_WALL_MM = Decimal("0.06")
_CLASS = re.compile(r"\b(?:class|cl\.?)\s*(\d{3,4})\b|\b(\d{3,4})\s*(?:#|lbs?\b)", re.IGNORECASE)
_CONNECTORS = {
    "coupling": r"\b(?<!half )(?<!half-)coupling\b",
    "half coupling": r"\bhalf[ -]coupling\b",
    "olet": r"\b\w*olet\b",
    "union": r"\bunion\b",
}
_WELDED_FITTINGS = {BEND: ("A bend", 2), JUNCTION: ("A tee", 3), TRANSITION: ("A reducer", 2)}
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
    weld    what the model writes at it of where its weld is made
    """

    key: str
    at: Vector
    axis: Vector | None = None
    to: str = ""
    is_in: bool = False
    joined: str = ""
    nps: str = ""
    weld: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a model.

    kind    SEGMENT, one of FITTINGS or BY_LENGTH, EQUIPMENT, or empty where the model doesn't say what it is
    called  as a sentence names it: its name, class and number in the file
    line    the system that it belongs to
    words   everything that the model writes about it, for its class and kind
    schedule of a segment; empty where the model gives no wall
    length_mm  end to end, as its properties say; reach: points of its body that lie farthest out
    why     it can't be read, where that showed before its ports were looked at
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
    length_mm: Decimal | None = None
    reach: tuple[Vector, ...] = ()
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
    for nps in sizes():
        inches = size_of(nps) * MM_PER_INCH
        if nominal_mm is not None and (
            abs(nominal_mm - dn_of(nps)) < _NEAR_WALL_MM or abs(nominal_mm - inches) < NEAR_MM
        ):
            return nps
        if nominal_mm is None and outside_mm is not None and abs(outside_mm - outside(nps)) < NEAR_MM:
            return nps
    return ""


def schedule_for(nps: str, wall_mm: Decimal) -> str:
    """The schedule whose wall this is, to 0.06 mm; empty where the size has none such."""
    for schedule in sorted(sizes().get(nps, ()), key=lambda one: not one.isdigit()):
        one = pipe(nps, schedule)
        if min(abs(one.wall_mm - wall_mm), abs(one.wall_in * MM_PER_INCH - wall_mm)) <= _NEAR_WALL_MM:
            return schedule
    return ""


def outside(nps: str) -> Decimal:
    """The outside diameter of a size in mm."""
    return pipe(nps, sizes()[nps][0]).od_mm


@dataclass(slots=True)
class Model:
    """The parts that a route can have, those that none can, and what was read with a remark; units are the job's.

    welds    where the welds are made of which the model says so, by the key of each port there
    visited  how many parts were looked at so far, each as often as it was
    """

    parts: dict[str, Part]
    units: str = US
    unread: list[Unread] = field(default_factory=list)
    notices: dict[str, None] = field(default_factory=dict)
    owners: dict[str, Part] = field(default_factory=dict)
    ports: dict[str, Port] = field(default_factory=dict)
    centres: dict[str, Vector] = field(default_factory=dict)
    welds: dict[str, str] = field(default_factory=dict)
    visited: int = 0

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


def is_straight(part: Part) -> bool:
    """Whether a part goes straight from its one port to its other."""
    return part.kind == SEGMENT or (len(part.ports) == 2 and part.kind in (CONNECTOR, *BY_LENGTH))


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


def look(model: Model, part: Part) -> None:
    """Note what is read with a remark. Raises Refused where a part says too little, or what no route can say."""
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
        told = "No wall that a schedule has is said of pipe {} {}; there the line's schedule is taken."
        model.notices[told.format(f"in {part.line}," if part.line else "of", show_size(part.nps, model.units))] = None


def _look_fitting(model: Model, part: Part) -> None:
    what, ports = _WELDED_FITTINGS[part.kind]
    _count(part, ports, what)
    if any(one.joined == FLANGED for one in part.ports):
        raise Refused(f"{what} with a bolted end can't be written in a route.")


def _look_connector(model: Model, part: Part) -> None:
    if len(part.ports) == 2 and is_flange(part):
        if not class_said(part):
            raise Refused("It is a flange whose class the model doesn't say; accepted are words such as Class 150.")
        if not flange_kind(part):
            told = "Whether a flange is weld-neck, slip-on or socket isn't said of each; the size decides there."
            model.notices[told] = None
        return
    _count(part, 2, "A connector")
    if (part.ports[0].at - part.ports[1].at).length() <= NEAR_MM:
        raise Refused("Its two ends are at one place.")
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
    BEND: _look_fitting,
    JUNCTION: _look_fitting,
    TRANSITION: _look_fitting,
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
