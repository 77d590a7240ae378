"""Join the parts of a model beyond its ports: where it says they are connected, and where their ends merely meet."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_UP, Decimal
from itertools import product

from rules.route.model import FLANGED, SEGMENT, WELDED, Part, Port, ends_of, outside
from rules.route.vector import angle_between

# Ends so near to each other are offered as connected; the user sees each. Common practice, no source.
MEET_MM = Decimal(1)
# Ends of parts that the model says are connected may lie so far apart: by a root opening, or a gasket.
STATED_MM = Decimal(10)
_IN_LINE_DEGREES = 0.5
# So many free ends in a corner of 3 mm are no plant; to hold each against each would take for ever.
_MOST_BESIDE = 8
_TENTH = Decimal("0.1")


@dataclass(slots=True)
class Joining:
    """Parts by their keys; `taken` tells of ends that only meet and were joined, `notices` of what was not."""

    parts: dict[str, Part]
    taken: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)

    def tie(self, one: tuple[str, Port], two: tuple[str, Port]) -> None:
        """Connect two ports."""
        for (key, port), (_, other) in ((one, two), (two, one)):
            part = self.parts[key]
            ports = tuple(replace(own, to=other.key) if own.key == port.key else own for own in part.ports)
            self.parts[key] = replace(part, ports=ports)

    def free(self, key: str) -> list[Port]:
        """The ports of a part that are connected to nothing."""
        return [one for one in self.parts[key].ports if not one.to]


def joined(parts: Sequence[Part], stated: Iterable[Sequence[str]]) -> Joining:
    """Join parts that are stated to be connected as a whole, by their keys two by two, and then ends that meet."""
    found = Joining({one.key: one for one in parts})
    for pair in dict.fromkeys(tuple(sorted(one)) for one in stated):
        if len(set(pair)) == 2 and all(key in found.parts for key in pair):
            _state(found, *pair)
    for one, two, apart in _meeting(found):
        _take(found, one, two, apart)
    return found


# --- what the model states ---


def _state(found: Joining, key: str, other: str) -> None:
    one, two = found.parts[key], found.parts[other]
    if one.why or two.why or any(port.to in {own.key for own in two.ports} for port in one.ports):
        return
    pairs = [((a.at - b.at).length(), a, b) for a, b in product(found.free(key), found.free(other))]
    apart, a, b = min(pairs, key=lambda pair: pair[0], default=(None, None, None))
    if apart is not None and a is not None and b is not None and apart <= STATED_MM:
        found.tie((key, a), (other, b))
    elif not (_tap(found, key, other) or _tap(found, other, key)):
        far = "one of them has no free end" if apart is None else f"their nearest free ends are {apart:.1f} mm apart"
        found.notices.append(
            f"{one.called} and {two.called} are said to be connected, but {far}; accepted are up to {STATED_MM} mm."
        )


def _tap(found: Joining, header: str, branch: str) -> bool:
    """Connect a part to the side of a pipe; whether it stands there."""
    part = found.parts[header]
    if part.kind != SEGMENT or not part.nps or len(part.ports) < 2:
        return False
    first, last = ends_of(part)
    along, length = (last.at - first.at), (last.at - first.at).length()
    if not length:
        return False
    for end in found.free(branch):
        way = (end.at - first.at).dot(along.unit())
        aside = (end.at - first.at - along.unit().times(way)).length()
        if MEET_MM < way < length - MEET_MM and aside <= outside(part.nps) / 2 + STATED_MM:
            tap = Port(f"{header}/{len(part.ports) + 1}", end.at)
            found.parts[header] = replace(part, ports=(*part.ports, tap))
            found.tie((header, tap), (branch, end))
            return True
    return False


# --- ends that meet ---


def _meeting(found: Joining) -> Iterator[tuple[tuple[str, Port], tuple[str, Port], Decimal]]:
    """Free ends of two parts within a mm of each other and with no third beside them."""
    cells: dict[tuple[int, ...], list[tuple[str, Port]]] = {}
    for key, part in found.parts.items():
        for port in () if part.why else found.free(key):
            cells.setdefault(_cell(port), []).append((key, port))
    order = {key: place for place, key in enumerate(found.parts)}
    for key, port in [end for ends in cells.values() for end in ends]:
        near = _beside(cells, port)
        if len(near) == 1 and order[near[0][0]] > order[key] and len(_beside(cells, near[0][1])) == 1:
            yield (key, port), near[0], _apart(port, near[0][1])


def _beside(cells: dict[tuple[int, ...], list[tuple[str, Port]]], port: Port) -> list[tuple[str, Port]]:
    """The other free ends within a mm of one; none where it is crowded."""
    steps = product((-1, 0, 1), repeat=3)
    beside = [cells.get(tuple(map(sum, zip(_cell(port), step, strict=True))), []) for step in steps]
    if sum(map(len, beside)) > _MOST_BESIDE:
        return []
    return [one for some in beside for one in some if one[1].key != port.key and _apart(one[1], port) <= MEET_MM]


def _cell(port: Port) -> tuple[int, ...]:
    return tuple(int(one // MEET_MM) for one in port.at.parts())


def _apart(one: Port, two: Port) -> Decimal:
    return (one.at - two.at).length()


def _take(found: Joining, one: tuple[str, Port], two: tuple[str, Port], apart: Decimal) -> None:
    """Join two ends that meet where nothing that the model says of them stands against it."""
    parts = found.parts[one[0]], found.parts[two[0]]
    sizes = {size for size in (one[1].nps or parts[0].nps, two[1].nps or parts[1].nps) if size}
    ways = {one[1].joined, two[1].joined}
    if len(sizes) > 1 or ways >= {WELDED, FLANGED} or not _is_in_line(parts, (one[1], two[1])):
        return
    found.tie(one, two)
    within = max(apart.quantize(_TENTH, ROUND_UP), _TENTH)
    found.taken.append(f"{parts[0].called} and {parts[1].called}: ends meet within {within} mm")


def _is_in_line(parts: tuple[Part, Part], ports: tuple[Port, Port]) -> bool:
    """Whether two pipes that meet end to end go on in line; of other parts their own check tells."""
    if any(part.kind != SEGMENT or len(part.ports) < 2 for part in parts):
        return True
    ways = []
    for part, port in zip(parts, ports, strict=True):
        one, two = ends_of(part)
        far = two if port.key == one.key else one
        ways.append(port.at - far.at)
    return all(way.length() for way in ways) and angle_between(ways[0], -ways[1]) <= _IN_LINE_DEGREES
