"""Withdraw records of pieces, spools and filler lots that were made in error, by records that say so."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from joints.actions.record_lot_moves import is_first, judge_moves
from joints.actions.record_piece_events import HOLDS, judge_pieces
from joints.actions.record_spool_steps import SIGNED
from joints.actions.withdraw_records import refuse_gone
from records import journal
from records.insert import insert_once
from records.locking import lock_rows
from records.models import FillerLot, Job, LotMove, Piece, PieceEvent, Spool, SpoolStep, User, Withdrawal
from records.models.base import Master, ShopRecord
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from records.shop_recording import take
from records.shop_refresh import refresh_spools

# By kind: the records, what they are about, and its column.
ABOUT: dict[str, tuple[type[ShopRecord], type[Master], str]] = {
    "pieceevent": (PieceEvent, Piece, "piece_id"),
    "spoolstep": (SpoolStep, Spool, "spool_id"),
    "lotmove": (LotMove, FillerLot, "lot_id"),
}


@retried
def withdraw_shop_records(drafts: Sequence[Withdrawal], *, job: Job, by: User) -> list[Withdrawal]:
    """Withdraw records of one kind; a draft sent again returns the stored withdrawal.

    drafts  each with the id made on the device, kind (the record's model name), record (its id) and reason
    Raises  NotAllowed, Implausible (no reason, unknown record), RecordClash (already withdrawn, or corrected)
    """
    require(by, job, "withdraw")
    if not drafts:
        return []
    model, thing, column = _about(drafts[0].kind)
    records: list[Any] = list(model._default_manager.filter(job=job, id__in=[draft.record for draft in drafts]))
    _check(drafts, {one.id for one in records})
    for verb in sorted(_verbs(records)):
        require(by, job, verb)
    with transaction.atomic():
        at = timezone.now()
        _take(records, job)
        # Whoever corrects or withdraws the same record meanwhile waits, or is waited for.
        lock_rows(thing, {getattr(one, column) for one in records})
        refuse_gone(drafts)
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new:
            _derive(records, job, by)
            journal.append(new, job=job, by=by, at=at)
    return stored


def _about(kind: str) -> tuple[type[ShopRecord], type[Master], str]:
    if kind not in ABOUT:
        raise Implausible(f"A {kind} can't be withdrawn here.", [Fault("kind", "Unknown kind.", ", ".join(ABOUT))])
    return ABOUT[kind]


def _check(drafts: Sequence[Withdrawal], known: set[UUID]) -> None:
    for draft in drafts:
        if draft.kind != drafts[0].kind:
            told = "These withdrawals are of several kinds; send one list for each."
            raise Implausible.of(Fault("kind", told, drafts[0].kind))
        if not draft.reason.strip():
            raise Implausible("A withdrawal needs its reason.", [Fault("reason", "Write why.", "a few words")])
        if draft.record not in known:
            raise Implausible("There is no such record to withdraw.", [Fault("record", "Unknown record.")])


def _verbs(records: Sequence[Any]) -> set[str]:
    """What was signed is withdrawn only by somebody who may sign it; a lifted hold by whoever may lift it."""
    steps = {SIGNED[one.step] for one in records if isinstance(one, SpoolStep) and one.step in SIGNED}
    lifted = any(isinstance(one, PieceEvent) and one.event in HOLDS for one in records)
    return steps | ({"lift hold"} if lifted else set())


def _take(records: Sequence[Any], job: Job) -> None:
    moves = [one for one in records if isinstance(one, LotMove)]
    take(job, alone=bool(moves) and is_first(job, {one.id for one in moves}), welders={one.stamp_id for one in moves})


def _derive(records: Sequence[Any], job: Job, by: User) -> None:
    if isinstance(records[0], PieceEvent):
        judge_pieces(records, job=job, by=by)
    elif isinstance(records[0], SpoolStep):
        refresh_spools(job, {one.spool_id for one in records})
    else:
        judge_moves(records, {one.id for one in records}, job=job, by=by)
