"""Load what stands recorded of pieces, spools and filler lots as the plain facts that the rules judge."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from typing import TypeVar
from uuid import UUID

from django.db.models import F, Q, QuerySet

from records.lookups import Keys
from records.models import Job, Joint, LotMove, Piece, PieceEvent, SpoolStep, Withdrawal
from records.models.base import ShopRecord
from records.standing import standing_on
from rules.facts import PieceEventFacts, PieceFacts
from rules.pieces import COMMONLY, standing
from rules.spools import SpoolJoint, StepFacts

R = TypeVar("R", bound=ShopRecord)
# Of a whole job, only these events can speak against a piece.
_TELLING = Q(event__in=("on hold", "off hold", "scrapped")) | Q(mark_transferred__isnull=False)


def standing_records(model: type[R], job: Job, until: date = date.max) -> QuerySet[R]:
    """Return the records of a kind that were neither replaced nor withdrawn, by day, time and recording.

    until  those dated up to a day, as they were then; two queries more
    """
    withdrawn = Withdrawal.objects.filter(job=job, kind=model._meta.model_name).values_list("record", flat=True)
    rows = standing_on(model._default_manager.filter(job=job), until, withdrawn).exclude(id__in=withdrawn)
    return rows.order_by("done_on", F("done_at").asc(nulls_first=True), "recorded_at", "id")


def piece_event_facts(row: PieceEvent, *, is_part: bool = False) -> PieceEventFacts:
    """Turn a stored event into facts, of the piece itself or of the part that it made."""
    return PieceEventFacts(
        id=str(row.id),
        event=row.event,
        done_on=row.done_on,
        is_part=is_part,
        mark_transferred=row.mark_transferred if row.part_id else None,
        place=row.place,
        by=row.by,
        remark=row.remark,
    )


def events_of(job: Job, piece_ids: Iterable[UUID]) -> dict[UUID, list[PieceEventFacts]]:
    """Return the standing events of pieces, with the cuts that made them, in order; one query."""
    keys = Keys(piece_ids)
    rows = standing_records(PieceEvent, job).filter(Q(piece_id__among=keys) | Q(part_id__among=keys))
    return _by_piece(rows, set(keys))


def troubles_of(job: Job, until: date = date.max) -> dict[UUID, PieceFacts]:
    """Return what speaks against pieces, for those of a job against which something does; two queries at most.

    until  leave out what is dated after this day
    """
    events = _by_piece(standing_records(PieceEvent, job, until).filter(_TELLING))
    marks = dict(Piece.objects.filter(id__among=Keys(events)).values_list("id", "mark")) if events else {}
    found = {piece: standing(marks[piece], facts).facts for piece, facts in events.items()}
    return {piece: facts for piece, facts in found.items() if facts}


def open_holds(job: Job, piece: Piece) -> tuple[PieceEventFacts, ...]:
    """Return the holds that stand on a piece, whatever else speaks against it; one query."""
    facts = standing(piece.mark, events_of(job, [piece.id]).get(piece.id, ())).facts
    return facts.holds if facts else ()


def _by_piece(rows: Iterable[PieceEvent], wanted: set[UUID] | None = None) -> dict[UUID, list[PieceEventFacts]]:
    found: dict[UUID, list[PieceEventFacts]] = defaultdict(list)
    for row in sorted(rows, key=when_of_event):
        if wanted is None or row.piece_id in wanted:
            found[row.piece_id].append(piece_event_facts(row))
        if row.part_id and (wanted is None or row.part_id in wanted):
            found[row.part_id].append(piece_event_facts(row, is_part=True))
    return found


def when_of_event(row: PieceEvent) -> tuple[date, str, str, int]:
    """Order events by day, time and recording; those that came in together by what commonly comes first."""
    time = row.done_at.isoformat() if row.done_at else ""
    return row.done_on, time, row.recorded_at.isoformat(), COMMONLY.index(row.event)


def steps_of(job: Job, spool_ids: Iterable[UUID]) -> dict[UUID, list[StepFacts]]:
    """Return the standing steps of spools in order; one query."""
    found: dict[UUID, list[StepFacts]] = defaultdict(list)
    for row in standing_records(SpoolStep, job).filter(spool_id__among=Keys(spool_ids)):
        found[row.spool_id].append(step_facts(row))
    return found


def step_facts(row: SpoolStep) -> StepFacts:
    """Turn a stored step into facts."""
    return StepFacts(str(row.id), row.step, row.result, row.done_on, row.done_at, row.place)


def joints_of_spools(spool_ids: Iterable[UUID]) -> dict[UUID, list[SpoolJoint]]:
    """Return the joints of spools, withdrawn ones left out, by number; one query."""
    keys = set(spool_ids)
    rows = Joint.objects.filter(Q(spool_id__in=keys) | Q(spool_b_id__in=keys)).exclude(state="withdrawn")
    columns = ("spool_id", "spool_b_id", "number", "state", "location", "accepted_on", "stops")
    found: dict[UUID, list[SpoolJoint]] = defaultdict(list)
    for spool, spool_b, number, state, location, accepted_on, stops in rows.order_by("sort_key").values_list(*columns):
        for key in {spool, spool_b} & keys:
            found[key].append(SpoolJoint(number, state, location != "shop", accepted_on, stops))
    return found


def first_issues(job: Job, until: date = date.max) -> dict[tuple[UUID, UUID], date] | None:
    """Return the first day on which each lot went out to each stamp, by (stamp, lot).

    until  leave out what is dated after this day
    None where the job keeps no issue records. One query.
    """
    found: dict[tuple[UUID, UUID], date] = {}
    issues = standing_records(LotMove, job, until).filter(move="issued").order_by("-done_on")
    for stamp, lot, day in issues.values_list("stamp_id", "lot_id", "done_on"):
        found[stamp, lot] = day
    return found or None
