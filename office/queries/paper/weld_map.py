"""The weld map: a sheet's pieces and joints, put in sequence along the pipe."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.db.models import F, QuerySet, Value
from django.db.models.functions import Coalesce

from office.queries.paper.title import About
from office.queries.paper.words import JointRow, joint_ring
from records.heats_read import heats_read
from records.models import Joint, Sheet
from reports.data import MapJoint, MapPiece, MapRun, WeldMapData
from reports.sequence import Link, runs_of
from rules.fitting_words import fitting_called
from rules.size_words import rating_words, show_pipe_size

_OF_PIECE = ("mark", "kind", "nps", "second_nps", "schedule", "pressure_class", "heat__number")
_OF_JOINT = (
    "id", "sheet_id", "number", "kind", "nps", "schedule", "location", "state", "attempt", "attempts", "progress",
    "stamps", "spool__mark", "spool_b__mark", "on_a", "on_b", "procedure__number",
)  # fmt: skip
_PIECE_A = slice(len(_OF_JOINT), len(_OF_JOINT) + len(_OF_PIECE))
_PIECE_B = slice(_PIECE_A.stop, _PIECE_A.stop + len(_OF_PIECE))
_PLANNED = {f"on_{side}": Coalesce(F(f"heat_{side}__number"), Value("")) for side in ("a", "b")}
_COLUMNS = (*_OF_JOINT, *(f"{side}__{name}" for side in ("piece_a", "piece_b") for name in _OF_PIECE))


def rows_of(joints: QuerySet[Joint], *also: str) -> list[JointRow]:
    """Read of joints, as named rows, what drawings say of them: instances of all they hang on would cost far more.

    also  further columns
    `on_a` and `on_b` are the heats that a joint stands on: those last read off at fit-up, else the planned ones.
    Two queries.
    """
    rows = list(joints.annotate(**_PLANNED).values_list(*_COLUMNS, *also, named=True))
    read = heats_read([row.id for row in rows])
    return [_standing_on(row, *read.get(row.id, ("", ""))) for row in rows]


def _standing_on(row: JointRow, read_a: str, read_b: str) -> JointRow:
    if read_a in ("", row.on_a) and read_b in ("", row.on_b):
        return row
    return row._replace(on_a=read_a or row.on_a, on_b=read_b or row.on_b)


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


def in_order(found: QuerySet[Sheet]) -> list[Sheet]:
    """Return sheets with their lines in the order of their drawings; one query."""
    return sorted(found.select_related("line"), key=lambda one: (one.drawing, one.number.zfill(8)))


def counts_of_drawings(sheets: Sequence[Sheet]) -> Counter[str]:
    """Return how many sheets the drawings of some sheets of a job have; one query."""
    if not sheets:
        return Counter()
    drawings = {sheet.drawing for sheet in sheets}
    of_drawings = Sheet.objects.filter(job=sheets[0].job_id, drawing__in=drawings).order_by()
    return Counter(of_drawings.values_list("drawing", flat=True))


def map_of_sheet(about: About, sheet: Sheet, counts: Mapping[str, int], joints: Sequence[JointRow]) -> WeldMapData:
    """Return the map of a sheet with some of its joints.

    counts  how many sheets each drawing has
    """
    return WeldMapData(about.title_of_sheet(sheet, counts[sheet.drawing]), runs(joints, about.job.units))


def runs(joints: Sequence[JointRow], units: str) -> tuple[MapRun, ...]:
    """Put the joints of one sheet in sequence along the pipe; they come in the order of their numbers.

    units  of the job: sizes are named by them
    """
    pieces: dict[str, MapPiece] = {}
    links = []
    for joint in joints:
        sides = ((joint[_PIECE_A], joint.on_a), (joint[_PIECE_B], joint.on_b))
        for piece, heat in sides:
            mark = piece[0]
            if mark and mark not in pieces:
                pieces[mark] = _piece(units, heat, *piece)
        links.append(Link(map_joint(joint, units), *(piece[0] or "" for piece, _ in sides)))
    return runs_of(links, pieces)


def _piece(
    units: str,
    heat_at_joint: str | None,
    mark: str,
    kind: str,
    nps: str,
    second_nps: str,
    schedule: str,
    pressure_class: str,
    heat: str | None,
) -> MapPiece:
    """A piece without a heat of its own has the one that the joint stands on."""
    sizes = show_pipe_size(nps, rating_words(schedule, pressure_class), units, second_nps)
    return MapPiece(mark=mark, kind=fitting_called(kind), size=sizes, heat=heat or heat_at_joint or "")


def map_joint(joint: JointRow, units: str) -> MapJoint:
    """Return a joint as a map's table says it."""
    return MapJoint(
        number=joint.number,
        ring=joint_ring(joint),
        kind=joint.kind,
        size=show_pipe_size(joint.nps, joint.schedule, units),
        location=joint.location,
        spool=joint.spool__mark or "",
        spool_b=joint.spool_b__mark or "",
        heat_a=joint.on_a,
        heat_b=joint.on_b,
        procedure=joint.procedure__number or "",
        stamps=joint.stamps,
        attempt=joint.attempt,
    )
