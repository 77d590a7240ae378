"""The spools of a job: how far each is, and everything about one, with what is missing before it goes on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q, QuerySet

from joints.queries.joint_history import Entry
from joints.queries.pieces import PieceRow, first_pieces
from joints.queries.shop_history import spool_history
from joints.queries.weld_log import LogRow, first_rows
from records.asking import Asking
from records.models import Job, Joint, Line, Piece, Spool
from records.models.line import SPOOL_STATES
from records.paging import Page, cut_by_id
from records.shop_facts import joints_of_spools, steps_of
from rules.spools import Flag, counted, flags, missing, next_step

PAGE = 50
MOST = 60
# What no spool should leave with.
BARRED = ("on hold", "scrapped")
KEYS = ("sort_key", "id")
COLUMNS = (*KEYS, "mark", "line_id", "line__number", "state", "place", "last_on")


@dataclass(frozen=True, slots=True)
class SpoolsWanted(Asking):
    """What somebody asks the list for; an empty field asks for everything."""

    line: str = ""
    state: str = ""
    search: str = ""


@dataclass(frozen=True, slots=True)
class SpoolRow:
    """One spool as the list shows it: its joints counted, how much is out of order, and what comes next."""

    id: UUID
    mark: str
    line_id: UUID
    line: str
    state: str
    place: str
    last_on: date | None
    welded: int
    accepted: int
    joints: int
    flags: int
    next_step: str


@dataclass(frozen=True, slots=True)
class SpoolShown:
    """Everything about one spool; of its joints and pieces the first that were asked for."""

    spool: Spool
    welded: int
    accepted: int
    count: int
    joints: tuple[LogRow, ...]
    pieces: tuple[PieceRow, ...]
    entries: tuple[Entry, ...]
    flags: tuple[Flag, ...]
    missing: tuple[str, ...]
    next_step: str


def spools_page(
    job: Job, wanted: SpoolsWanted, *, after: UUID | None = None, before: UUID | None = None
) -> Page[SpoolRow]:
    """Return one page of spools by line and mark; three queries, one more to page from a spool, one for a line."""
    spools = Spool.objects.filter(job=job)
    page = cut_by_id(
        spools_wanted(spools, job, wanted).values_list(*COLUMNS), KEYS, spools, after=after, before=before, most=PAGE
    )
    rows = spool_rows(job, page.rows)
    return Page(rows, *page.ends([one.id for one in rows]))


def spool_shown(job: Job, spool: Spool, most: int = MOST) -> SpoolShown:
    """Return everything about a spool; eight queries.

    most   of its joints and of its pieces that are named
    """
    steps = steps_of(job, [spool.id]).get(spool.id, [])
    facts = joints_of_spools([spool.id]).get(spool.id, [])
    joints = Joint.objects.filter(Q(spool=spool) | Q(spool_b=spool), job=job)
    welded, accepted, count = counted(facts)
    # A field joint ties the spool to pieces of its neighbour; those of the shop joints are the spool's own.
    own = joints.filter(spool=spool, location="shop").exclude(state="withdrawn")
    of_spool = Q(id__in=own.values("piece_a")) | Q(id__in=own.values("piece_b"))
    pieces = first_pieces(Piece.objects.filter(of_spool, job=job), most, job.units)
    lacking = missing(steps, facts) + [f"Piece {one.mark} is {one.state}." for one in pieces if one.state in BARRED]
    return SpoolShown(
        spool=spool,
        welded=welded,
        accepted=accepted,
        count=count,
        joints=first_rows(joints, most, job.units),
        pieces=pieces,
        entries=tuple(spool_history(job, spool)),
        flags=tuple(flags(steps, facts)),
        missing=tuple(lacking),
        next_step=next_step(steps),
    )


def spool_rows(job: Job, found: Sequence[tuple]) -> tuple[SpoolRow, ...]:
    """Turn rows of COLUMNS into rows of the list; two queries, for their joints and steps."""
    keys = [row[1] for row in found]
    joints, steps = joints_of_spools(keys), steps_of(job, keys)
    rows = []
    for _, key, mark, line_id, line, state, place, last_on in found:
        mine, taken = joints.get(key, []), steps.get(key, [])
        told = len(flags(taken, mine))
        rows.append(SpoolRow(key, mark, line_id, line, state, place, last_on, *counted(mine), told, next_step(taken)))
    return tuple(rows)


def spools_wanted(spools: QuerySet[Spool], job: Job, wanted: SpoolsWanted) -> QuerySet[Spool]:
    """Narrow spools of a job to those that match, without order."""
    if wanted.state:
        spools = spools.filter(state=wanted.state) if wanted.state in SPOOL_STATES else spools.none()
    if wanted.line:
        lines = Line.objects.filter(job=job, number__iexact=wanted.line).values_list("id", flat=True)
        spools = spools.filter(line_id__in=list(lines))
    if wanted.search:
        spools = spools.filter(Q(mark__icontains=wanted.search) | Q(place__icontains=wanted.search))
    return spools
