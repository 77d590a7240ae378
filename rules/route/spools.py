"""The spools of a route: what shop welds hold together, its box and its weight."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from rules.pipe import pipe
from rules.route.parts import Setting
from rules.route.shape import SHOP, Component, JointPlace, PipePiece, SpoolShape
from rules.route.vector import Vector
from rules.route.written import length_text
from rules.tables import table

_PI = Decimal("3.14159265358979323846")
_MM3_PER_M3 = Decimal(10) ** 9


def spool_marks(marks: Sequence[str], joints: Sequence[JointPlace], prefix: str) -> dict[str, str]:
    """The spool of each piece by its mark: pieces that shop welds join are one, lettered along the flow.

    A piece that no weld touches (a gasket, a bolted valve) belongs to none.
    """
    root = {mark: mark for mark in marks}

    def find(mark: str) -> str:
        while root[mark] != mark:
            mark = root[mark]
        return mark

    welded: set[str] = set()
    for joint in joints:
        pair = [mark for mark in (joint.piece_a, joint.piece_b) if mark in root]
        welded.update(pair)
        if joint.location == SHOP and len(pair) == 2:
            one, other = sorted((find(pair[0]), find(pair[1])), key=marks.index)
            root[other] = one
    letters: dict[str, str] = {}
    found: dict[str, str] = {}
    for mark in marks:
        if mark in welded:
            found[mark] = letters.setdefault(find(mark), prefix + letter(len(letters)))
    return found


def letter(index: int) -> str:
    """A, B, ... Z, AA, AB, ... by the place of a spool, from 0."""
    text = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        text = chr(65 + rest) + text
    return text


def spool_shapes(
    pipes: Sequence[PipePiece],
    components: Sequence[Component],
    joints: Sequence[JointPlace],
    weights: Mapping[str, Decimal],
    setting: Setting,
) -> tuple[SpoolShape, ...]:
    """Each spool with its pieces, its joints' places, its box and its weight.

    weights   in kg, of the components that the route gives one
    """
    marks = dict.fromkeys(one.spool for one in _by_mark(pipes, components) if one.spool)
    return tuple(_spool(mark, pipes, components, joints, weights, setting) for mark in marks)


def _by_mark(pipes: Sequence[PipePiece], components: Sequence[Component]) -> list[PipePiece | Component]:
    return sorted([*pipes, *components], key=lambda one: int(one.mark))


def _spool(
    mark: str,
    pipes: Sequence[PipePiece],
    components: Sequence[Component],
    joints: Sequence[JointPlace],
    weights: Mapping[str, Decimal],
    setting: Setting,
) -> SpoolShape:
    own_pipes = [one for one in pipes if one.spool == mark]
    own = [one for one in components if one.spool == mark]
    size = _box(own_pipes, own, setting.units)
    known = {one.mark: pipe_weight_kg(one, setting) for one in own_pipes}
    known |= {one.mark: weights.get(one.mark) for one in own}
    return SpoolShape(
        mark=mark,
        pieces=tuple(one.mark for one in _by_mark(own_pipes, own)),
        joints=tuple(place for place, one in enumerate(joints) if mark in (one.spool, one.spool_b)),
        size_mm=size,
        weight_kg=sum((one for one in known.values() if one is not None), Decimal(0)),
        left_out=tuple(sorted((one for one, weight in known.items() if weight is None), key=int)),
        exceeds=tuple(_exceeds(mark, size, setting)),
    )


def pipe_weight_kg(one: PipePiece, setting: Setting) -> Decimal | None:
    """The weight of a length of pipe in kg: density x section x cut length; None where the metal is not known.

    Source    geometry; nominal diameter and wall (ASME B36.10M, B36.19M); density as in the table of densities
    """
    rows = {row["metal"]: row for row in table("densities").rows}
    if setting.metal not in rows:
        return None
    size = pipe(one.nps, one.schedule)
    od, wall = size.od(setting.units), size.wall(setting.units)
    return Decimal(rows[setting.metal]["kg_per_m3"]) * _PI * (od - wall) * wall * one.cut_mm / _MM3_PER_M3


def _box(pipes: Sequence[PipePiece], components: Sequence[Component], units: str) -> tuple[Decimal, Decimal, Decimal]:
    """The sides of the box round everything, along east, north and up, over the outside of pipe and fittings' ends."""
    lows: list[tuple[Decimal, Decimal, Decimal]] = []
    highs: list[tuple[Decimal, Decimal, Decimal]] = []
    for at, axis, radius in _rings(pipes, components, units):
        reach = [radius * max(Decimal(1) - part * part, Decimal(0)).sqrt() for part in axis.parts()]
        low = [one - off for one, off in zip(at.parts(), reach, strict=True)]
        high = [one + off for one, off in zip(at.parts(), reach, strict=True)]
        lows.append((low[0], low[1], low[2]))
        highs.append((high[0], high[1], high[2]))
    sides = [max(one[i] for one in highs) - min(one[i] for one in lows) for i in range(3)]
    return sides[0], sides[1], sides[2]


def _rings(
    pipes: Sequence[PipePiece], components: Sequence[Component], units: str
) -> Iterator[tuple[Vector, Vector, Decimal]]:
    for one in pipes:
        radius = pipe(one.nps, one.schedule).od(units) / 2
        yield one.first, one.direction, radius
        yield one.last, one.direction, radius
    for part in components:
        for end in part.ends:
            yield end.at, end.outward, pipe(end.nps, part.schedule).od(units) / 2


def _exceeds(mark: str, size: tuple[Decimal, Decimal, Decimal], setting: Setting) -> Iterator[str]:
    """By how much a spool, turned by right angles as suits, is over the transport envelope."""
    if setting.envelope_mm is None:
        return
    names = ("shortest", "middle", "longest")
    for name, side, most in zip(names, sorted(size), sorted(setting.envelope_mm), strict=True):
        if side > most:
            told = [length_text(one, setting.units) for one in (side, most, side - most)]
            yield f"The {name} side of spool {mark} is {told[0]}, over the {told[1]} that can be carried by {told[2]}."
