"""Numbers along the flow, given once: what of a new route is the old joints, what moved, what is new, what is gone."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from rules.route.shape import Component, JointPlace, PipePiece, RouteShape, SpoolShape
from rules.route.spools import letter
from rules.route.vector import Vector
from rules.route.written import length_text
from rules.units import SI

KEPT, MOVED, NEW = "kept", "moved", "new"
_SAME_PLACE_MM = 1
# How much two joints of one kind and size speak for being the same: their neighbours, then where they are made.
_ALIKE, _NEIGHBOUR, _LOCATION = 4, 3, 1


@dataclass(frozen=True, slots=True)
class KnownJoint:
    """A joint that the sheet has: as planned, with what it joins, and its place where an earlier route has one.

    pieces        what kinds of piece it joins, A and B; empty where that is not known
    axis          the direction of the flow through it, where an earlier route has it
    """

    number: str
    kind: str
    nps: str
    location: str
    piece_a: str = ""
    piece_b: str = ""
    pieces: tuple[str, str] = ("", "")
    spool: str = ""
    spool_b: str = ""
    at: Vector | None = None
    axis: Vector | None = None


@dataclass(frozen=True, slots=True)
class KnownPiece:
    """A piece that the sheet has."""

    mark: str
    kind: str
    nps: str


@dataclass(frozen=True, slots=True)
class Numbered:
    """A joint of the new route with its number: kept, moved or new, and what changes on it."""

    number: str
    fate: str
    place: JointPlace
    before: KnownJoint | None = None
    changes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Renumbering:
    """What a new route does to a sheet: its joints numbered, those that are gone, and the marks of pieces and spools.

    pieces, spools   from the marks along the flow to those that stay
    """

    joints: tuple[Numbered, ...]
    gone: tuple[KnownJoint, ...]
    pieces: Mapping[str, str]
    spools: Mapping[str, str]

    def numbers(self) -> tuple[str, ...]:
        """The numbers in the order of the flow."""
        return tuple(one.number for one in self.joints)


def renumber(
    shape: RouteShape,
    known: Sequence[KnownJoint],
    *,
    used_numbers: Iterable[str] = (),
    used_pieces: Iterable[KnownPiece] = (),
    used_spools: Iterable[str] = (),
    prefix: str = "",
    units: str = SI,
) -> Renumbering:
    """Number a route's joints: those that the sheet has keep theirs, others get the next that was never used.

    known      the sheet's joints, in the order of their numbers, without withdrawn ones
    used_...   numbers and marks that were ever given, withdrawn ones too
    prefix     of the marks of new spools
    Joints are the same first by kind, size and place, then in the order of the flow by kind, size and what they join.
    Pieces are the same by their joints; what is bolted in, by kind and size in the order of the flow.
    """
    kinds = {one.mark: "pipe" for one in shape.pipes} | {one.mark: one.kind for one in shape.components}
    pairs = _same_place(shape.joints, known, kinds)
    pairs |= _in_order(shape.joints, known, kinds, pairs)
    pieces, had = _marks_kept(shape, known, pairs), list(used_pieces)
    pieces |= _bolted_kept(shape, known, had)
    spools = _spools_kept(shape, known, pairs)
    free = _numbers({*used_numbers, *(one.number for one in known)})
    next_piece = _numbers({*(one.mark for one in had), *(mark for one in known for mark in (one.piece_a, one.piece_b))})
    for mark in sorted(kinds, key=int):
        if mark not in pieces:
            pieces[mark] = next(next_piece)
    taken = {*used_spools, *spools.values()}
    for spool in shape.spools:
        if spool.mark not in spools:
            spools[spool.mark] = _free_spool(prefix, taken)
            taken.add(spools[spool.mark])
    joints = []
    for index, place in enumerate(shape.joints):
        before = known[pairs[index]] if index in pairs else None
        number = before.number if before else next(free)
        place = _marked(place, number, pieces, spools)
        joints.append(_told(place, number, before, units))
    gone = tuple(one for index, one in enumerate(known) if index not in pairs.values())
    return Renumbering(tuple(joints), gone, pieces, spools)


def _numbers(used: set[str]) -> Iterator[str]:
    """Whole numbers above all that were used."""
    greatest = max((int(one) for one in used if one.isdecimal()), default=0)
    return (str(number) for number in range(greatest + 1, greatest + 10_000))


def _free_spool(prefix: str, taken: set[str]) -> str:
    return next(mark for index in range(10_000) if (mark := prefix + letter(index)) not in taken)


def _same_place(joints: Sequence[JointPlace], known: Sequence[KnownJoint], kinds: Mapping[str, str]) -> dict[int, int]:
    """Joints of one kind and size that stand where one stood, and not on the other side of what is welded in there."""
    found: dict[int, int] = {}
    left = dict(enumerate(known))
    for index, place in enumerate(joints):
        same = next(
            (
                key
                for key, one in left.items()
                if one.at is not None
                and (one.kind, one.nps) == (place.kind, place.nps)
                and (one.at - place.at).length() <= _SAME_PLACE_MM
                and _on_same_side(place, one, kinds)
            ),
            None,
        )
        if same is not None:
            found[index] = same
            del left[same]
    return found


def _on_same_side(place: JointPlace, one: KnownJoint, kinds: Mapping[str, str]) -> bool:
    """Whether a joint has on one side what was there: a coupling moved by its own length has its first weld where its
    second was. Where the flow was turned round, so were the sides."""
    mine = [family(kinds.get(mark, "")) for mark in (place.piece_a, place.piece_b)]
    theirs = [family(kind) for kind in one.pieces]
    if one.axis is not None and place.axis.dot(one.axis) < 0:
        theirs.reverse()
    return not any(theirs) or any(a == b for a, b in zip(mine, theirs, strict=True))


def _in_order(
    joints: Sequence[JointPlace], known: Sequence[KnownJoint], kinds: Mapping[str, str], pairs: Mapping[int, int]
) -> dict[int, int]:
    """The best way to lay the rest side by side in their order; what differs in kind or size is never the same."""
    new = [index for index in range(len(joints)) if index not in pairs]
    old = [index for index in range(len(known)) if index not in pairs.values()]
    best = [[0] * (len(old) + 1) for _ in range(len(new) + 1)]
    for i in range(len(new) - 1, -1, -1):
        for j in range(len(old) - 1, -1, -1):
            alike = _alike(joints[new[i]], known[old[j]], kinds)
            along = best[i + 1][j + 1] + alike if alike else 0
            best[i][j] = max(along, best[i + 1][j], best[i][j + 1])
    found: dict[int, int] = {}
    i = j = 0
    while i < len(new) and j < len(old):
        alike = _alike(joints[new[i]], known[old[j]], kinds)
        if alike and best[i][j] == best[i + 1][j + 1] + alike:
            found[new[i]] = old[j]
            i, j = i + 1, j + 1
        elif best[i][j] == best[i + 1][j]:
            i += 1
        else:
            j += 1
    return found


def _alike(place: JointPlace, one: KnownJoint, kinds: Mapping[str, str]) -> int:
    if (place.kind, place.nps) != (one.kind, one.nps):
        return 0
    mine = (kinds.get(place.piece_a, ""), kinds.get(place.piece_b, ""))
    neighbours = sum(family(a) == family(b) for a, b in zip(mine, one.pieces, strict=True))
    return _ALIKE + _NEIGHBOUR * neighbours + _LOCATION * (place.location == one.location)


def family(kind: str) -> str:
    """A kind of piece without what drawings call differently: `flange-150` and `flange-weld-neck` are flanges."""
    return kind.partition("-")[0].casefold()


def _marks_kept(shape: RouteShape, known: Sequence[KnownJoint], pairs: Mapping[int, int]) -> dict[str, str]:
    """The marks of pieces that stay, by what their joints say: most say so, and none is given twice."""
    votes: Counter[tuple[str, str]] = Counter()
    for index, key in pairs.items():
        place, one = shape.joints[index], known[key]
        for mine, theirs in ((place.piece_a, one.piece_a), (place.piece_b, one.piece_b)):
            if mine and theirs:
                votes[mine, theirs] += 1
    return _elected(votes)


def _bolted_kept(shape: RouteShape, known: Sequence[KnownJoint], used_pieces: Sequence[KnownPiece]) -> dict[str, str]:
    """The marks that pieces keep which no weld joins: gaskets, blinds, bolted valves."""
    joined = {mark for one in shape.joints for mark in (one.piece_a, one.piece_b)}
    joined_before = {mark for one in known for mark in (one.piece_a, one.piece_b)}
    left = [one for one in used_pieces if one.mark not in joined_before]
    mine = [KnownPiece(one.mark, "pipe", one.nps) for one in shape.pipes]
    mine += [KnownPiece(one.mark, one.kind, one.nps) for one in shape.components]
    found: dict[str, str] = {}
    for one in sorted(mine, key=lambda piece: int(piece.mark)):
        alike = (other for other in left if (family(other.kind), other.nps) == (family(one.kind), one.nps))
        if one.mark not in joined and (same := next(alike, None)):
            found[one.mark] = same.mark
            left.remove(same)
    return found


def _spools_kept(shape: RouteShape, known: Sequence[KnownJoint], pairs: Mapping[int, int]) -> dict[str, str]:
    votes: Counter[tuple[str, str]] = Counter()
    for index, key in pairs.items():
        place, one = shape.joints[index], known[key]
        if place.spool and one.spool:
            votes[place.spool, one.spool] += 2
        if place.spool_b and one.spool_b:
            votes[place.spool_b, one.spool_b] += 1
    return _elected(votes)


def _elected(votes: Counter[tuple[str, str]]) -> dict[str, str]:
    found: dict[str, str] = {}
    given: set[str] = set()
    # A counter keeps the order in which it was filled, and a sort keeps that among equals.
    for (mine, theirs), _ in sorted(votes.items(), key=lambda vote: -vote[1]):
        if mine not in found and theirs not in given:
            found[mine] = theirs
            given.add(theirs)
    return found


def _marked(place: JointPlace, number: str, pieces: Mapping[str, str], spools: Mapping[str, str]) -> JointPlace:
    return replace(
        place,
        number=number,
        piece_a=pieces.get(place.piece_a, ""),
        piece_b=pieces.get(place.piece_b, ""),
        spool=spools.get(place.spool, ""),
        spool_b=spools.get(place.spool_b, ""),
    )


def _told(place: JointPlace, number: str, before: KnownJoint | None, units: str) -> Numbered:
    if before is None:
        return Numbered(number, NEW, place)
    changes = []
    fate = KEPT
    if before.at is not None and (far := (place.at - before.at).length()) > _SAME_PLACE_MM:
        fate = MOVED
        changes.append(f"moves by {length_text(far, units)}")
    if place.location != before.location:
        changes.append(f"goes from {before.location} to {place.location}")
    for side, mine, theirs in (("", place.spool, before.spool), (" B", place.spool_b, before.spool_b)):
        if mine != theirs:
            changes.append(f"spool{side} goes from {theirs or 'none'} to {mine or 'none'}")
    return Numbered(number, fate, place, before, tuple(changes))


def numbered_shape(
    shape: RouteShape, numbers: Sequence[str], pieces: Mapping[str, str], spools: Mapping[str, str]
) -> RouteShape:
    """The shape with the numbers and marks that stay, as it is drawn and listed; what has none keeps its own."""
    pipes: list[PipePiece] = [
        replace(one, mark=pieces.get(one.mark, one.mark), spool=spools.get(one.spool, one.spool)) for one in shape.pipes
    ]
    components: list[Component] = [
        replace(one, mark=pieces.get(one.mark, one.mark), spool=spools.get(one.spool, one.spool))
        for one in shape.components
    ]
    padded = [*numbers, *("" for _ in shape.joints[len(numbers) :])]
    joints = [_marked(place, number, pieces, spools) for place, number in zip(shape.joints, padded, strict=False)]
    spooled: list[SpoolShape] = [
        replace(
            one,
            mark=spools.get(one.mark, one.mark),
            pieces=tuple(pieces.get(mark, mark) for mark in one.pieces),
            left_out=tuple(pieces.get(mark, mark) for mark in one.left_out),
            exceeds=tuple(
                text.replace(f"spool {one.mark} ", f"spool {spools.get(one.mark, one.mark)} ") for text in one.exceeds
            ),
        )
        for one in shape.spools
    ]
    return replace(shape, pipes=tuple(pipes), components=tuple(components), joints=tuple(joints), spools=tuple(spooled))


def _renamed(text: str, mark: str, spools: Mapping[str, str]) -> str:
    return text.replace(f"spool {mark} ", f"spool {spools.get(mark, mark)} ")
