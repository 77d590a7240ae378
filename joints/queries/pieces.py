"""The pieces of a job: where each stands, and everything about one, from what it was cut to the joints it is in."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q, QuerySet

from joints.queries.joint_history import Entry
from joints.queries.shop_history import piece_history
from joints.queries.weld_log import LogRow, first_rows
from records.asking import Asking
from records.models import Heat, Job, Joint, Line, Piece, PieceEvent
from records.models.material import PIECE_STATES
from records.paging import Page, cut_by_id
from records.shop_facts import standing_records
from rules.fitting_words import fitting_called
from rules.size_words import show_pipe_size

PAGE = 50
MOST = 50
KEYS = ("sort_key", "id")
COLUMNS = (
    *KEYS, "mark", "kind", "nps", "second_nps", "schedule", "pressure_class", "sheet__drawing", "sheet__number",
    "sheet__line__number", "heat_id", "heat__number", "state", "place", "last_on",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PiecesWanted(Asking):
    """What somebody asks the list for; an empty field asks for everything."""

    line: str = ""
    state: str = ""
    heat: str = ""
    search: str = ""


@dataclass(frozen=True, slots=True)
class InJoint:
    """A joint that a piece is planned in."""

    id: UUID
    number: str
    state: str
    progress: int
    attempts: int


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One piece as the list shows it; `what` is its kind and size."""

    id: UUID
    mark: str
    what: str
    sheet: str
    line: str
    heat_id: UUID | None
    heat: str
    state: str
    place: str
    last_on: date | None
    joints: tuple[InJoint, ...]


@dataclass(frozen=True, slots=True)
class Kin:
    """A piece that another was cut from, or that was cut from it."""

    id: UUID
    mark: str
    state: str
    done_on: date
    is_marked: bool | None


@dataclass(frozen=True, slots=True)
class PieceShown:
    """Everything about one piece."""

    piece: Piece
    what: str
    cut_from: tuple[Kin, ...]
    parts: tuple[Kin, ...]
    joints: tuple[LogRow, ...]
    entries: tuple[Entry, ...]


def pieces_page(
    job: Job, wanted: PiecesWanted, *, after: UUID | None = None, before: UUID | None = None
) -> Page[PieceRow]:
    """Return one page of pieces by drawing and mark; two queries, one more to page from a piece, two for filters."""
    pieces = Piece.objects.filter(job=job)
    page = cut_by_id(
        pieces_wanted(pieces, job, wanted).values_list(*COLUMNS), KEYS, pieces, after=after, before=before, most=PAGE
    )
    rows = rows_of(page.rows, job.units)
    return Page(rows, *page.ends([one.id for one in rows]))


def first_pieces(pieces: QuerySet[Piece], most: int, units: str) -> tuple[PieceRow, ...]:
    """Return the first pieces of a queryset as the list shows them, sizes by the job's units; two queries."""
    return rows_of(list(pieces.order_by(*KEYS).values_list(*COLUMNS)[:most]), units)


def rows_of(found: Sequence[tuple], units: str) -> tuple[PieceRow, ...]:
    """Turn rows of COLUMNS into rows of the list, sizes by the job's units; one query, for their joints."""
    joints = joints_of([row[1] for row in found])
    return tuple(_row(row, tuple(joints.get(row[1], ())), units) for row in found)


def joints_of(piece_ids: Iterable[UUID]) -> dict[UUID, list[InJoint]]:
    """Return the joints that pieces are planned in, withdrawn ones left out; one query."""
    keys = set(piece_ids)
    rows = Joint.objects.filter(Q(piece_a_id__in=keys) | Q(piece_b_id__in=keys)).exclude(state="withdrawn")
    columns = ("piece_a_id", "piece_b_id", "id", "number", "state", "progress", "attempts")
    found: dict[UUID, list[InJoint]] = defaultdict(list)
    for a, b, *joint in rows.order_by("sort_key").values_list(*columns):
        for key in {a, b} & keys:
            found[key].append(InJoint(*joint))
    return found


def piece_shown(job: Job, piece: Piece) -> PieceShown:
    """Return everything about a piece that came with its sheet, line and heat; six queries."""
    cuts = standing_records(PieceEvent, job).filter(Q(piece=piece) | Q(part=piece), part__isnull=False)
    made = list(cuts.select_related("piece", "part"))
    joints = Joint.objects.filter(Q(piece_a=piece) | Q(piece_b=piece), job=job)
    return PieceShown(
        piece=piece,
        what=what_of(piece.kind, piece.nps, piece.second_nps, piece.schedule, piece.pressure_class, units=job.units),
        cut_from=tuple(_kin(one.piece, one) for one in made if one.part_id == piece.id),
        parts=tuple(_kin(one.part, one) for one in made if one.part and one.part_id != piece.id),
        joints=first_rows(joints, MOST, job.units),
        entries=tuple(piece_history(job, piece)),
    )


def what_of(kind: str, nps: str, second: str, schedule: str, rating: str, *, units: str) -> str:
    """Say what a piece is: "90° elbow NPS 2 Sch 80", "reducer DN 100 x 50"; a class that its name says stands once."""
    name = fitting_called(kind)
    rating = "" if name.startswith(f"Class {rating} ") else rating
    size = show_pipe_size(nps, schedule, units, second)
    return " ".join(part for part in (name, size, rating and f"class {rating}") if part)


def _kin(piece: Piece, event: PieceEvent) -> Kin:
    return Kin(piece.id, piece.mark, piece.state, event.done_on, event.mark_transferred)


def pieces_wanted(pieces: QuerySet[Piece], job: Job, wanted: PiecesWanted) -> QuerySet[Piece]:
    """Narrow pieces of a job to those that match, without order."""
    if wanted.state:
        pieces = pieces.filter(state=wanted.state) if wanted.state in PIECE_STATES else pieces.none()
    if wanted.line:
        lines = Line.objects.filter(job=job, number__iexact=wanted.line).values_list("id", flat=True)
        pieces = pieces.filter(sheet__line_id__in=list(lines))
    if wanted.heat:
        heats = Heat.objects.filter(job=job, number__iexact=wanted.heat).values_list("id", flat=True)
        pieces = pieces.filter(heat_id__in=list(heats))
    if wanted.search:
        found = Q(mark__iexact=wanted.search) | Q(sheet__drawing__icontains=wanted.search)
        pieces = pieces.filter(found | Q(place__icontains=wanted.search))
    return pieces


def _row(row: tuple, joints: tuple[InJoint, ...], units: str) -> PieceRow:
    (
        _, key, mark, kind, nps, second, schedule, rating, drawing, sheet, line, heat_id, heat, state, place, last_on,
    ) = row  # fmt: skip
    return PieceRow(
        id=key,
        mark=mark,
        what=what_of(kind, nps, second, schedule, rating, units=units),
        sheet=f"{drawing}/{sheet}",
        line=line,
        heat_id=heat_id,
        heat=heat or "",
        state=state,
        place=place,
        last_on=last_on,
        joints=joints,
    )
