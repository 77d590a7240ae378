"""Record filler that goes out to welders and comes back, one move or thousands, once each."""

from collections.abc import Collection, Iterable, Sequence
from decimal import Decimal
from uuid import UUID

from records.judging import judge_touched
from records.models import Job, LotMove, Pass, User
from records.models.shop import MOVES, PIECES, QUANTITY_UNITS
from records.refusals import Fault
from records.shop_facts import standing_records
from records.shop_recording import record_in_shop
from rules.units import plain

MOST = Decimal(100_000)


def record_lot_moves(drafts: Sequence[LotMove], *, job: Job, by: User) -> list[LotMove]:
    """Record moves of filler lots as they happened; a draft sent again returns the stored record.

    drafts  each with the id made on the device, lot, move, stamp and day
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    A return of more than went out is recorded; the lot's page says so.
    """

    def follow(new: Sequence[LotMove]) -> None:
        replaced = [one.replaces_id for one in new if one.replaces_id]
        before = list(LotMove.objects.filter(id__in=replaced)) if replaced else []
        judge_moves([*new, *before], {one.id for one in new}, job=job, by=by)

    return record_in_shop(
        drafts,
        job=job,
        by=by,
        verbs=["issue filler"],
        about="lot",
        check=faults,
        follow=follow,
        alone=is_first(job, {one.id for one in drafts}),
        welders={one.stamp_id for one in drafts},
    )


def is_first(job: Job, moves: Collection[UUID]) -> bool:
    """Say whether the job has no other issue that stands: with the first every pass that names a lot is judged anew."""
    return not standing_records(LotMove, job).filter(move="issued").exclude(id__in=moves).exists()


def judge_moves(moves: Sequence[LotMove], changed: Collection[UUID], *, job: Job, by: User) -> None:
    """Judge again the joints whose passes name the lots and stamps of these moves.

    changed  the ids of the moves that came or went; with a job's first issue, or without its last, every pass counts
    """
    issues = {(one.stamp_id, one.lot_id) for one in moves if one.move == "issued"}
    if issues:
        judge_touched(job, lambda: _touched(job, issues, changed), by=by)


def _touched(job: Job, issues: set[tuple[UUID, UUID]], changed: Collection[UUID]) -> Iterable[UUID]:
    passes = Pass.objects.filter(job=job, filler_lot__isnull=False)
    if is_first(job, changed):
        return passes.order_by().values_list("joint_id", flat=True).distinct()
    stamps, lots = {stamp for stamp, _ in issues}, {lot for _, lot in issues}
    rows = passes.filter(stamp_id__in=stamps, filler_lot_id__in=lots).values_list(
        "joint_id", "stamp_id", "filler_lot_id"
    )
    return {joint for joint, stamp, lot in rows if (stamp, lot) in issues}


def faults(draft: LotMove) -> Iterable[Fault]:
    """Yield what can't be: an unknown move, a quantity below zero, of part of a piece, or without its unit."""
    if draft.move not in MOVES:
        yield Fault("move", f"{draft.move!r} is no move of filler.", ", ".join(MOVES))
    if draft.unit and draft.unit not in QUANTITY_UNITS:
        yield Fault("quantity", f"{draft.unit!r} is no unit of filler.", ", ".join(QUANTITY_UNITS))
    if draft.quantity is not None and not 0 < draft.quantity <= MOST:
        yield Fault("quantity", f"A quantity of {draft.quantity:f} can't be.", f"more than 0, up to {MOST}")
    if draft.quantity is not None and draft.unit == PIECES and draft.quantity % 1:
        yield Fault("quantity", f"{plain(draft.quantity)} {PIECES} is part of a piece.", "a whole number, or a weight")
    if (draft.quantity is None) != (not draft.unit):
        yield Fault("quantity", "A quantity needs its unit.", "kg, lb or pieces")
