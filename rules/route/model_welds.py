"""Where a model says that a weld is made: in the shop, in the field, or there with a length left on."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from rules.route.model import CONNECTOR, FLANGED, Part, Port, Unread, called, is_flange
from rules.route.vector import Vector

FIELD, FIELD_FIT, SHOP = "field weld", "field fit weld", "shop weld"
# A weld of the model belongs to the joint whose ends are within so much of its place: a root opening, and noise.
NEAR_WELD_MM = Decimal(5)
# Two ends of a part that is a weld lie no further apart than this.
_WIDEST_MM = Decimal(10)
_WELD = re.compile(r"\bweld\b(?![ -]?neck)", re.IGNORECASE)
_PLACES = (
    (FIELD_FIT, re.compile(r"\bfield[ -]?fit\b", re.IGNORECASE)),
    (FIELD, re.compile(r"\b(?:field|site)[ -]?weld(?:ed)?\b", re.IGNORECASE)),
    (SHOP, re.compile(r"\b(?:work)?shop[ -]?weld(?:ed)?\b", re.IGNORECASE)),
)


@dataclass(frozen=True, slots=True)
class Weld:
    """A weld that stands in a model as a thing of its own.

    words    what the model writes about it
    at       its place, where it has one
    between  the keys of the two ports, or of the two parts, that it joins; empty where the model doesn't say
    """

    called: str
    words: str
    at: Vector | None = None
    between: tuple[str, ...] = ()


@dataclass(slots=True)
class Welds:
    """Where welds are made, by the keys of the ports that meet there; what was left out, and remarks."""

    places: dict[str, str] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)
    silent: int = 0

    def say(self, name: str, words: str, *ports: Port) -> None:
        """Note what some words say of the weld between two ports."""
        found = place_said(words)
        if found is None:
            self.unread.append(
                Unread(name, "It names the shop and the field at once; its weld is read as a shop weld.")
            )
        elif not found:
            self.silent += 1
        elif any(self.places.get(one.key, found) != found for one in ports):
            other = next(self.places[one.key] for one in ports if one.key in self.places)
            self.unread.append(Unread(name, f"It says {found} of a weld that is called a {other} elsewhere."))
        else:
            self.places |= {one.key: found for one in ports}


def place_said(words: str) -> str | None:
    """Where a weld is made by some words; empty where they don't say, None where they say several."""
    found = [place for place, pattern in _PLACES if pattern.search(words)]
    if found == [FIELD_FIT, FIELD]:
        return FIELD_FIT
    return None if len(found) > 1 else "".join(found)


def is_weld(part: Part) -> bool:
    """Whether a part is nothing but a weld between two others."""
    if part.kind not in (CONNECTOR, "") or len(part.ports) != 2 or part.why or is_flange(part) or called(part):
        return False
    apart = (part.ports[0].at - part.ports[1].at).length()
    return bool(_WELD.search(part.words)) and apart <= _WIDEST_MM


def welds_of(parts: dict[str, Part], own: Iterable[Weld]) -> Welds:
    """Where the welds of a model are made; a part that is but a weld is taken out, and what it joins is joined."""
    found = Welds()
    for part in [one for one in parts.values() if is_weld(one)]:
        _join_through(parts, part, found)
    joints = _Joints(parts)
    for one, two in joints.pairs:
        if words := " | ".join(port.weld for port in (one, two) if port.weld):
            found.say(joints.names[one.key], words, one, two)
    for weld in own:
        met = joints.of(weld)
        if len(met) == 1:
            found.say(weld.called, weld.words, *met[0])
        else:
            found.unread.append(Unread(weld.called, _astray(weld, len(met))))
    return found


def _astray(weld: Weld, count: int) -> str:
    if weld.between:
        return f"It is a weld between two parts that are joined in {count} places; accepted is one."
    if weld.at is None:
        return "It is a weld, and the model says neither where it is nor what it joins."
    return f"It is a weld, and {count} joints lie within {NEAR_WELD_MM} mm of it; accepted is one."


def _join_through(parts: dict[str, Part], weld: Part, found: Welds) -> None:
    """Take a weld out from between what it joins."""
    parts.pop(weld.key)
    owners = {port.key: key for key, part in parts.items() for port in part.ports if port.to in _keys(weld)}
    sides = [one for one in weld.ports if one.to in owners]
    if len({one.to for one in sides}) != 2:
        sides = sides[:1]
        found.unread.append(Unread(weld.called, "It is a weld that joins nothing on one of its sides."))
    ends = []
    for side in sides:
        far = next((one.to for one in sides if one.key != side.key), "")
        part = parts[owners[side.to]]
        port = replace(next(one for one in part.ports if one.key == side.to), to=far)
        parts[part.key] = replace(part, ports=tuple(port if one.key == port.key else one for one in part.ports))
        ends.append(port)
    if len(ends) == 2:
        found.say(weld.called, weld.words, *ends)


def _keys(part: Part) -> set[str]:
    return {one.key for one in part.ports}


class _Joints:
    """The welded joints of a model: two ports each."""

    def __init__(self, parts: dict[str, Part]) -> None:
        ports = {one.key: one for part in parts.values() for one in part.ports}
        self.owners = {one.key: part.key for part in parts.values() for one in part.ports}
        self.names = {one.key: part.called for part in parts.values() for one in part.ports}
        self.pairs = [
            (one, ports[one.to])
            for one in ports.values()
            if one.to in ports and one.key < one.to and FLANGED not in (one.joined, ports[one.to].joined)
        ]
        self._cells: dict[tuple[int, ...], list[tuple[Port, Port]]] = {}
        self._between: dict[frozenset[str], list[tuple[Port, Port]]] = {}
        for pair in self.pairs:
            self._cells.setdefault(_cell(_middle(pair)), []).append(pair)
            for keys in ({one.key for one in pair}, {self.owners[one.key] for one in pair}):
                self._between.setdefault(frozenset(keys), []).append(pair)

    def of(self, weld: Weld) -> Sequence[tuple[Port, Port]]:
        """The joints that a weld may be: of what it joins, else those near its place."""
        if weld.between:
            return self._between.get(frozenset(weld.between), ())
        if weld.at is None:
            return ()
        east, north, up = _cell(weld.at)
        steps = [(x, y, z) for x in (-1, 0, 1) for y in (-1, 0, 1) for z in (-1, 0, 1)]
        near = [pair for x, y, z in steps for pair in self._cells.get((east + x, north + y, up + z), ())]
        return [pair for pair in near if (_middle(pair) - weld.at).length() <= NEAR_WELD_MM]


def _middle(pair: tuple[Port, Port]) -> Vector:
    return pair[0].at + (pair[1].at - pair[0].at).times(Decimal("0.5"))


def _cell(at: Vector) -> tuple[int, ...]:
    return tuple(int(one // NEAR_WELD_MM) for one in at.parts())
