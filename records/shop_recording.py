"""The one way in which events of pieces, steps of spools and moves of filler lots are recorded."""

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from records import journal
from records.clock import today_on
from records.gathering import gathered
from records.insert import insert_once
from records.locking import lock_plan, lock_rows, lock_welders
from records.models import Job, User, Withdrawal
from records.models.base import Master, ShopRecord
from records.permissions import require
from records.recording import CLOCK_SLACK, dated_faults, refuse_foreign
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried

R = TypeVar("R", bound=ShopRecord)


@retried
def record_in_shop(
    drafts: Sequence[R],
    *,
    job: Job,
    by: User,
    verbs: Iterable[str],
    about: str,
    check: Callable[[R], Iterable[Fault]],
    follow: Callable[[Sequence[R]], None],
    alone: bool = False,
    welders: Iterable[UUID] = (),
) -> list[R]:
    """Record facts of one kind about things of one job; a draft sent again returns the stored record.

    drafts  unsaved rows, each with the id that the client made, its thing and day
    verbs   all that the person must be allowed
    about   the column that names the thing: piece, spool or lot
    check   faults of one draft beyond those that every record can have
    follow  derives what the new records touch
    alone   whether others may be judged by them of whom nobody knows yet: the plan is then taken alone
    welders the stamps whose passes are judged by them
    Raises  NotAllowed, Implausible (all faults of all drafts), RecordClash
    """
    for verb in verbs:
        require(by, job, verb)
    today, latest = today_on(job), timezone.now() + CLOCK_SLACK
    faults = [
        fault for draft in drafts for fault in (*dated_faults(draft, job, today=today, latest=latest), *check(draft))
    ]
    if faults:
        raise Implausible.of(*faults)
    with transaction.atomic():
        at = timezone.now()
        refuse_foreign(drafts, job)
        take(job, alone=alone, welders=welders)
        refuse_strange_corrections(drafts, about)
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new:
            follow(new)
            journal.append(new, job=job, by=by, at=at)
    return stored


def take(job: Job, *, alone: bool = False, welders: Iterable[UUID] = ()) -> None:
    """Share the job's plan, or take it alone, and take the welders; a batch does so once, at its end."""
    batch = gathered()
    if batch is not None:
        batch.changes_plan |= alone
        batch.welders.update(welders)
        return
    lock_plan(job, changes=alone)
    lock_welders(job, welders)


def refuse_strange_corrections(drafts: Sequence[R], about: str) -> None:
    """Refuse a correction of a record that is not of this kind and thing, or that was withdrawn; three queries."""
    correcting = [draft for draft in drafts if draft.replaces_id]
    if not correcting:
        return
    model, column = type(correcting[0]), f"{about}_id"
    thing: type[Master] = model._meta.get_field(about).related_model  # type: ignore[assignment,union-attr]
    # Whoever withdraws one of them meanwhile waits, or is waited for.
    lock_rows(thing, [getattr(draft, column) for draft in correcting])
    replaced = [draft.replaces_id for draft in correcting if draft.replaces_id]
    about_what: dict[UUID, UUID] = dict(model._default_manager.filter(id__in=replaced).values_list("id", column))
    gone = set(Withdrawal.objects.filter(record__in=replaced).values_list("record", flat=True))
    stored = set(model._default_manager.filter(id__in=[draft.pk for draft in drafts]).values_list("id", flat=True))
    for draft in correcting:
        if about_what.get(draft.replaces_id) != getattr(draft, column):  # type: ignore[arg-type]
            told = f"The record to correct is not of this {about}."
            raise Implausible(told, [Fault("replaces", "Unknown record.")])
        if draft.replaces_id in gone and draft.pk not in stored:
            raise RecordClash("The record to correct was withdrawn; record it anew instead.")
