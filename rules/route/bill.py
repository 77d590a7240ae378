"""The bill of material of a route: what is needed, by spool, like things together."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from rules.route.shape import PAD, Component, PipePiece, RouteShape
from rules.route.written import length_text
from rules.units import SI

LOOSE = ""
_Key = tuple[str, str, str, str, str, str]
_CALLED = {
    "elbow-90": "elbow 90°, long radius",
    "elbow-90-short": "elbow 90°, short radius",
    "elbow-45": "elbow 45°",
    "elbow-cut": "elbow cut from 90°",
    "reducer-concentric": "reducer, concentric",
    "reducer-eccentric": "reducer, eccentric",
    "half-coupling": "half coupling",
    "flange-weld-neck": "flange, weld neck",
    "flange-slip-on": "flange, slip-on",
    "flange-socket": "flange, socket welding",
    "flange-blind": "flange, blind",
    "pad": "reinforcing pad",
}


@dataclass(frozen=True, slots=True)
class BillRow:
    """Like things of one spool: how many, or how long together; `spool` is empty for what is bolted in."""

    spool: str
    what: str
    nps: str
    schedule: str
    pressure_class: str
    count: int
    length_mm: Decimal | None
    marks: tuple[str, ...]
    second_nps: str = ""


def bill_of(shape: RouteShape, units: str = SI) -> tuple[BillRow, ...]:
    """The bill of a route by spool: pipe by size with its cut lengths added up, then everything else counted.

    units   in which the width of a pad and the thickness of a gasket are told
    """
    rows: dict[_Key, list[PipePiece | Component]] = {}
    for one in shape.pipes:
        rows.setdefault((one.spool, "pipe", one.nps, one.schedule, "", ""), []).append(one)
    for part in shape.components:
        schedule = "" if part.pressure_class or part.kind in ("gasket", PAD) else part.schedule
        key = (part.spool, called(part, units), part.nps, schedule, part.pressure_class, part.second_nps)
        rows.setdefault(key, []).append(part)
    spools = [one.mark for one in shape.spools]
    order = {mark: place for place, mark in enumerate([*spools, LOOSE])}
    listed = sorted(rows.items(), key=lambda row: order.get(row[0][0], len(order)))
    return tuple(_row(key, parts) for key, parts in listed)


def called(part: Component, units: str = SI) -> str:
    """What a component is called on a bill: a pad by its width, a gasket by its thickness, which are cut to them."""
    name = _CALLED.get(part.kind, part.kind)
    if part.kind == "elbow-90" and part.pressure_class:
        name = "elbow 90°"  # one with sockets has no long radius
    if part.kind == "elbow-cut":
        name = f"elbow cut from 90° to {part.angle:.1f}°"
    if part.kind == PAD and part.width_mm:
        name = f"{name}, {length_text(part.width_mm, units)} wide"
    if part.kind == "gasket" and part.length_mm:
        name = f"{name}, {length_text(part.length_mm, units)} thick"
    if part.kind in ("gasket", "valve", "instrument", "item"):
        return " ".join(text for text in (name if part.kind != "item" else "", part.tag) if text) or "item"
    return name


def _row(key: _Key, parts: Iterable[PipePiece | Component]) -> BillRow:
    spool, what, nps, schedule, rating, second_nps = key
    listed = list(parts)
    pipes = [one.cut_mm for one in listed if isinstance(one, PipePiece)]
    length = sum(pipes, Decimal(0)) if pipes else None
    marks = tuple(one.mark for one in listed)
    return BillRow(spool, what, nps, schedule, rating, len(listed), length, marks, second_nps)


def totals(rows: Iterable[BillRow]) -> tuple[BillRow, ...]:
    """The bill of the whole line: like things of all spools together, in their order."""
    found: dict[BillRow, list[BillRow]] = {}
    for row in rows:
        found.setdefault(replace(row, spool="", count=0, length_mm=None, marks=()), []).append(row)
    return tuple(
        replace(
            like,
            count=sum(one.count for one in some),
            length_mm=sum((one.length_mm for one in some if one.length_mm is not None), Decimal(0))
            if some[0].length_mm is not None
            else None,
            marks=tuple(mark for one in some for mark in one.marks),
        )
        for like, some in found.items()
    )
