"""Write rows of the plan (lines, joints, heats, procedures, welders, ...), new or changed, one or thousands."""

from collections.abc import Sequence
from functools import partial
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from records import bulk, journal
from records.canonical import canonical
from records.gathering import gathered
from records.judging import judge_again
from records.locking import lock_plan
from records.lookups import Keys
from records.models import Job, Joint, User
from records.models.base import Master
from records.permissions import require
from records.retrying import retried
from records.settling import settle
from records.texts import values
from records.touching import SPEAK_OF_OTHERS, judges_others, touched_joints


@retried
def save_plan(rows: Sequence[Master], *, job: Job, by: User, reason: str = "", verb: str = "plan") -> list[Master]:
    """Write rows of one model; a row that is stored as it is stays untouched. Returns those written.

    rows    of one model, with their keys; a key that is stored means a change, written to the journal with the reason
    Raises  NotAllowed
    """
    if not rows:
        return []
    require(by, job, verb)
    model = type(rows[0])
    for row in rows:
        row.job = job
    settle(rows)
    batch = gathered()
    # A batch that makes the job fails as a whole, and nothing of the job is stored before it.
    is_first = batch is not None and batch.opens_job
    with transaction.atomic(savepoint=not is_first):
        if batch is None:
            lock_plan(job, changes=judges_others(model))
        stored = {} if is_first else _stored(model, rows, job)
        if batch is not None:
            batch.own[model].update(values(rows, "id"))
        new = [row for row in rows if row.pk not in stored]
        changed = [row for row in rows if row.pk in stored and canonical(row) != canonical(stored[row.pk])]
        _insert(new)
        if changed:
            _update(model, changed)
        written = [*new, *changed]
        _judge_again(job, by, new, changed)
        journal.append(written, job=job, by=by, at=timezone.now(), reason=reason)
    return written


def _stored(model: type[Master], rows: Sequence[Master], job: Job) -> dict[UUID, Master]:
    keys = Keys(values(rows, "id"))
    return {row.pk: row for row in model._default_manager.filter(job=job, pk__among=keys)}


def _insert(rows: Sequence[Master]) -> None:
    """Insert new rows; joints of a batch are derived at its end, and if it makes the job, written only then."""
    batch = gathered()
    joints = [row for row in rows if isinstance(row, Joint)] if batch is not None else []
    for joint in joints:
        joint.is_stale = True
    if not (joints and batch and batch.opens_job and batch.judges and batch.held.hold(joints)):
        bulk.insert(rows)


def _update(model: type[Master], rows: Sequence[Master]) -> None:
    derived = {"id", "job", *getattr(model, "DERIVED", ())}
    names = [field.name for field in model._meta.concrete_fields if field.name not in derived]
    model._default_manager.bulk_update(rows, names, batch_size=100)


def _judge_again(job: Job, by: User, new: Sequence[Master], changed: Sequence[Master]) -> None:
    """New and changed joints, and whatever rows of other kinds touch, in a batch asked at its end."""
    ids: set[UUID] = {row.pk for row in (*new, *changed) if isinstance(row, Joint)}
    speaking = new if isinstance(next(iter(new), None), SPEAK_OF_OTHERS) else ()
    touching = [rows for rows in (changed, speaking) if rows and judges_others(type(rows[0]))]
    batch = gathered()
    if batch is not None:
        batch.touched.extend(partial(touched_joints, rows) for rows in touching)
        batch.changes_plan |= bool(touching)
    else:
        ids.update(*map(touched_joints, touching))
    judge_again(job, ids, by=by)
