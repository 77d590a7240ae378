"""The weld map: a sheet's pieces and joints, put in sequence along the pipe."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from django.db.models import QuerySet

from office.queries.paper.title import About
from office.queries.paper.words import joint_ring, size
from records.models import Joint, Line, Piece, Sheet
from reports.data import MapJoint, MapPiece, MapRun, WeldMapData

RELATED = ("sheet", "spool", "spool_b", "piece_a__heat", "piece_b__heat", "heat_a", "heat_b", "procedure")


def weld_maps(about: About, line: Line) -> tuple[WeldMapData, ...]:
    """Return the maps of a line, one a drawing sheet that has joints of the scope; two queries."""
    return _maps(about, Sheet.objects.filter(line=line))


def maps_of_drawing(about: About, drawing: str) -> tuple[WeldMapData, ...]:
    """Return the maps of a drawing, one a sheet that has joints of the scope; two queries."""
    return _maps(about, Sheet.objects.filter(job=about.job, drawing=drawing))


def as_one(maps: Sequence[WeldMapData]) -> WeldMapData:
    """Return maps of several sheets as one, each sheet's first run under the sheet's name."""
    if len(maps) == 1:
        return maps[0]
    first = maps[0].title
    runs = [
        replace(run, name=", ".join(part for part in (_sheet_name(one), run.name) if part)) if place == 0 else run
        for one in maps
        for place, run in enumerate(one.runs)
    ]
    drawings = ", ".join(dict.fromkeys(one.title.number for one in maps))
    return WeldMapData(replace(first, number=drawings, sheet="", revision=""), tuple(runs))


def _sheet_name(one: WeldMapData) -> str:
    revision = f" rev. {one.title.revision}" if one.title.revision else ""
    return f"{one.title.number} sheet {one.title.sheet}{revision}"


def _maps(about: About, found: QuerySet[Sheet]) -> tuple[WeldMapData, ...]:
    sheets = sorted(found.select_related("line"), key=lambda one: (one.drawing, one.number.zfill(8)))
    counts = Counter(sheet.drawing for sheet in sheets)
    joints: dict[UUID, list[Joint]] = defaultdict(list)
    for joint in about.scope.joints().filter(sheet__in=found.order_by().values("id")).select_related(*RELATED):
        joints[joint.sheet_id].append(joint)
    return tuple(
        WeldMapData(about.title_of_sheet(sheet, counts[sheet.drawing]), runs_of(joints[sheet.id]))
        for sheet in sheets
        if joints[sheet.id]
    )


def runs_of(joints: Sequence[Joint]) -> tuple[MapRun, ...]:
    """Put joints in sequence: from each piece to the next that a joint ties it to, branches as runs of their own.

    joints   of one sheet, in the order of their numbers
    A joint whose pieces are not recorded stands between blank ones.
    """
    open_at: dict[UUID, list[Joint]] = defaultdict(list)
    for joint in joints:
        for piece in _ends(joint):
            if piece:
                open_at[piece.id].append(joint)
    used: set[UUID] = set()
    drawn: set[UUID] = set()
    runs = []
    for joint in joints:
        if joint.id not in used:
            runs.append(_run(_first(joint, open_at, used), open_at, used, drawn))
    return tuple(_joined(runs))


def _ends(joint: Joint) -> tuple[Piece | None, Piece | None]:
    return joint.piece_a, joint.piece_b


def _first(joint: Joint, open_at: dict[UUID, list[Joint]], used: set[UUID]) -> tuple[Joint, Piece | None]:
    """Walk back from a joint's first piece to where the run starts; returns the first joint and the piece before it."""
    seen = {joint.id}
    piece = joint.piece_a
    while piece:
        earlier = next((one for one in open_at[piece.id] if one.id not in used and one.id not in seen), None)
        if earlier is None:
            break
        seen.add(earlier.id)
        joint, piece = earlier, _other(earlier, piece)
    return joint, piece


def _run(
    start: tuple[Joint, Piece | None], open_at: dict[UUID, list[Joint]], used: set[UUID], drawn: set[UUID]
) -> tuple[list[MapPiece], list[MapJoint]]:
    joint, piece = start
    pieces, joints = [_piece(piece, joint, drawn)], []
    following: Joint | None = joint
    while following:
        used.add(following.id)
        joints.append(_joint(following))
        piece = _other(following, piece)
        pieces.append(_piece(piece, following, drawn))
        following = next((one for one in open_at[piece.id] if one.id not in used), None) if piece else None
    return pieces, joints


def _other(joint: Joint, piece: Piece | None) -> Piece | None:
    """The piece on the far side of a joint."""
    near = piece.id if piece else None
    return joint.piece_a if joint.piece_b_id == near else joint.piece_b


def _joined(runs: Sequence[tuple[list[MapPiece], list[MapJoint]]]) -> list[MapRun]:
    """Runs as the map draws them; joints without a single known piece follow one another with blanks between."""
    found: list[MapRun] = []
    blank: list[MapJoint] = []
    for pieces, joints in runs:
        if any(piece.mark for piece in pieces):
            found.append(MapRun(tuple(pieces), tuple(joints)))
        else:
            blank += joints
    if blank:
        found.append(MapRun((MapPiece(""),) * (len(blank) + 1), tuple(blank), name="pieces not recorded"))
    return found


def _piece(piece: Piece | None, joint: Joint, drawn: set[UUID]) -> MapPiece:
    if piece is None:
        return MapPiece("")
    again = piece.id in drawn
    drawn.add(piece.id)
    heat = piece.heat.number if piece.heat else _heat_at(joint, piece)
    sizes = " x ".join(part for part in (piece.nps, piece.second_nps) if part)
    return MapPiece(piece.mark, piece.kind, size(sizes, piece.schedule or piece.pressure_class), heat, again)


def _heat_at(joint: Joint, piece: Piece) -> str:
    """A piece without a heat of its own has the one that the weld list names at the joint."""
    heat = joint.heat_a if joint.piece_a_id == piece.id else joint.heat_b
    return heat.number if heat else ""


def _joint(joint: Joint) -> MapJoint:
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
