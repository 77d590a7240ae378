"""The weld map: a sheet's pieces and joints, put in sequence along the pipe."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db.models import QuerySet

from office.queries.paper.batches import narrow
from office.queries.paper.title import About
from office.queries.paper.words import joint_ring, size
from records.models import Heat, Joint, Line, Piece, Sheet
from reports.data import MapJoint, MapPiece, MapRun, WeldMapData
from reports.sequence import Link, runs_of
from rules.fitting_words import fitting_called

_OF_PIECE = ("mark", "kind", "nps", "second_nps", "schedule", "pressure_class", "heat__number")
ALSO = (
    "spool__mark", "spool_b__mark", "heat_a__number", "heat_b__number", "procedure__number",
    *(f"{side}__{name}" for side in ("piece_a", "piece_b") for name in _OF_PIECE),
)  # fmt: skip


def weld_maps(about: About, line: Line) -> tuple[WeldMapData, ...]:
    """Return the maps of a line, one a drawing sheet that has joints of the scope; two queries."""
    return tuple(maps_of_sheets(about, Sheet.objects.filter(line=line)).values())


def as_one(maps: Sequence[WeldMapData]) -> WeldMapData:
    """Return maps of several sheets as one, each sheet's first run under the sheet's name."""
    if len(maps) == 1:
        return maps[0]
    first = maps[0].title
    named = [
        replace(run, name=", ".join(part for part in (_sheet_name(one), run.name) if part)) if place == 0 else run
        for one in maps
        for place, run in enumerate(one.runs)
    ]
    drawings = ", ".join(dict.fromkeys(one.title.number for one in maps))
    return WeldMapData(replace(first, number=drawings, sheet="", revision=""), tuple(named))


def _sheet_name(one: WeldMapData) -> str:
    revision = f" rev. {one.title.revision}" if one.title.revision else ""
    return f"{one.title.number} sheet {one.title.sheet}{revision}"


def maps_of_sheets(about: About, found: QuerySet[Sheet]) -> dict[UUID, WeldMapData]:
    """Return the maps of sheets that have joints of the scope, by sheet, in their order; two queries."""
    sheets = sorted(found.select_related("line"), key=lambda one: (one.drawing, one.number.zfill(8)))
    counts = Counter(sheet.drawing for sheet in sheets)
    joints: dict[UUID, list[Joint]] = defaultdict(list)
    drawn = about.scope.joints().filter(sheet__in=found.order_by().values("id"))
    for joint in narrow(drawn, *ALSO):
        joints[joint.sheet_id].append(joint)
    return {
        sheet.id: WeldMapData(about.title_of_sheet(sheet, counts[sheet.drawing]), runs(joints[sheet.id]))
        for sheet in sheets
        if joints[sheet.id]
    }


def runs(joints: Sequence[Joint]) -> tuple[MapRun, ...]:
    """Put the joints of one sheet in sequence along the pipe; they come in the order of their numbers."""
    pieces: dict[str, MapPiece] = {}
    links = []
    for joint in joints:
        for piece, heat in ((joint.piece_a, joint.heat_a), (joint.piece_b, joint.heat_b)):
            if piece and piece.mark not in pieces:
                pieces[piece.mark] = _piece(piece, heat)
        mark_a, mark_b = (piece.mark if piece else "" for piece in (joint.piece_a, joint.piece_b))
        links.append(Link(map_joint(joint), mark_a, mark_b))
    return runs_of(links, pieces)


def _piece(piece: Piece, heat_at_joint: Heat | None) -> MapPiece:
    """A piece without a heat of its own has the one that the weld list names at the joint."""
    heat = piece.heat or heat_at_joint
    sizes = " x ".join(part for part in (piece.nps, piece.second_nps) if part)
    return MapPiece(
        mark=piece.mark,
        kind=fitting_called(piece.kind),
        size=size(sizes, piece.schedule or piece.pressure_class),
        heat=heat.number if heat else "",
    )


def map_joint(joint: Joint) -> MapJoint:
    """Return a joint as a map's table says it."""
    return MapJoint(
        number=joint.number,
        ring=joint_ring(joint),
        kind=joint.kind,
        size=size(joint.nps, joint.schedule),
        location=joint.location,
        spool=joint.spool.mark if joint.spool else "",
        spool_b=joint.spool_b.mark if joint.spool_b else "",
        heat_a=joint.heat_a.number if joint.heat_a else "",
        heat_b=joint.heat_b.number if joint.heat_b else "",
        procedure=joint.procedure.number if joint.procedure else "",
        stamps=joint.stamps,
        attempt=joint.attempt,
    )
