"""Everything that was ever recorded of a piece, a spool or a filler lot, corrected and withdrawn records beside."""

from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db.models import F, Q

from joints.queries.joint_history import Entry, recorded_words, struck_words
from records.clock import local_time
from records.models import FillerLot, Job, LotMove, Piece, PieceEvent, Spool, SpoolStep, Withdrawal
from records.models.base import ShopRecord
from records.shop_facts import when_of_event
from rules.filler_quantity import show_filler
from rules.units import show_length

EVENT_TITLES = {
    "received": "Received",
    "on hold": "Put on hold",
    "off hold": "Taken off hold",
    "issued": "Issued",
    "cut": "Cut",
    "returned": "Returned to stock",
    "scrapped": "Scrapped",
    "split": "Split by a cut-out",
}


def piece_history(job: Job, piece: Piece) -> list[Entry]:
    """Return the records of a piece, and the cuts that made it, in order; two queries."""
    rows = PieceEvent.objects.filter(Q(piece=piece) | Q(part=piece)).select_related("recorded_by", "piece", "part")
    in_order: list[PieceEvent] = sorted(rows, key=when_of_event)
    return _entries(job, in_order, "pieceevent", piece.id)


def spool_history(job: Job, spool: Spool) -> list[Entry]:
    """Return the steps of a spool in order; two queries."""
    rows = SpoolStep.objects.filter(spool=spool).select_related("recorded_by").order_by(*_ORDER)
    return _entries(job, rows, "spoolstep", spool.id)


def lot_history(job: Job, lot: FillerLot) -> list[Entry]:
    """Return the moves of a filler lot in order; two queries."""
    rows = LotMove.objects.filter(lot=lot).select_related("recorded_by", "stamp__welder").order_by(*_ORDER)
    return _entries(job, rows, "lotmove", lot.id)


def entry_of(job: Job, row: ShopRecord, about: UUID) -> Entry:
    """Return one record as a page tells it; no query where its things came with it."""
    return _entry(job, row, about, None, None)


_ORDER = ("done_on", F("done_at").asc(nulls_first=True), "recorded_at", "id")


def _entries(job: Job, found: Iterable[ShopRecord], kind: str, about: UUID) -> list[Entry]:
    rows: Sequence[ShopRecord] = list(found)
    gone = Withdrawal.objects.filter(job=job, kind=kind, record__in=[row.id for row in rows])
    withdrawn = {row.record: row for row in gone.select_related("recorded_by")}
    replaced = {row.replaces_id: row for row in rows if row.replaces_id}
    return [_entry(job, row, about, replaced.get(row.id), withdrawn.get(row.id)) for row in rows]


def _entry(
    job: Job, row: ShopRecord, about: UUID, correction: ShopRecord | None, withdrawal: Withdrawal | None
) -> Entry:
    return Entry(
        kind=str(row._meta.model_name),
        id=row.id,
        attempt="",
        done_on=row.done_on,
        done_at=local_time(job, row.done_at) if row.done_at else None,
        title=_title(row, about),
        values=tuple(value for value in (*_values(row, job, about), row.place) if value),
        remark=row.remark,
        by=row.by or row.recorded_by.get_full_name() or row.recorded_by.get_username(),
        recorded=recorded_words(job, row),
        corrects=row.reason if row.replaces_id else "",
        struck=struck_words(job, correction, withdrawal),
    )


def _title(row: ShopRecord, about: UUID) -> str:
    match row:
        case PieceEvent() if row.part_id == about:
            return f"{'Cut' if row.event == 'cut' else 'Split'} from piece {row.piece.mark}"
        case PieceEvent() if row.part:
            return f"{EVENT_TITLES[row.event]}: piece {row.part.mark}"
        case PieceEvent():
            return EVENT_TITLES[row.event]
        case SpoolStep():
            return f"{row.step.capitalize()}{f': {row.result}' if row.result else ''}"
        case LotMove():
            way = "Issued to" if row.move == "issued" else "Returned by"
            return f"{way} {row.stamp.code}, {row.stamp.welder.name}"
    raise TypeError(f"{type(row).__name__} is no record of the shop")


def _values(row: ShopRecord, job: Job, about: UUID) -> Iterable[str]:
    match row:
        case PieceEvent():
            if row.length_mm is not None:
                yield str(row.typed.get("length") or "") or show_length(row.length_mm, job.units)
            if row.mark_transferred is not None:
                told = "heat number transferred" if row.mark_transferred else "heat number not transferred"
                yield f"{told} by {row.mark_by}" if row.mark_by and row.mark_transferred else told
        case LotMove():
            if row.quantity is not None:
                yield show_filler(row.quantity, row.unit, job.units)
            if row.oven:
                yield f"holding oven {row.oven}"
