"""Write records once: the key that the client made decides, not a look before the write."""

from collections.abc import Sequence
from datetime import datetime
from typing import TypeVar

from django.db import IntegrityError, models, transaction

from records import bulk
from records.canonical import plain, readers
from records.gathering import gathered
from records.lookups import Keys
from records.models import Job, User
from records.models.base import Record
from records.refusals import RecordClash
from records.settling import settle

R = TypeVar("R", bound=Record)
# What the server adds, and when the device sent it, says nothing of the fact: the same record sent again differs in it.
SERVER_SIDE = frozenset({"recorded_at", "device_at"})


def insert_once(drafts: Sequence[R], *, job: Job, by: User, at: datetime) -> tuple[list[R], list[R]]:
    """Insert the drafts that are not stored yet; return (all as stored, the new ones), in the drafts' order.

    Raises RecordClash where an id is taken by other content or on another job, or a record was already replaced by
    another.
    """
    if not drafts:
        return [], []
    model = type(drafts[0])
    _sign(drafts, job, by, at)
    settle(drafts)
    batch = gathered()
    if batch is not None and batch.opens_job:
        # Of a job that is only being made nothing is stored; should a key be another's, the whole fails.
        bulk.insert(drafts)
        return list(drafts), list(drafts)
    stored = _stored(model, drafts)
    new = _without_doubles([draft for draft in drafts if draft.id not in stored] if stored else drafts)
    try:
        with transaction.atomic():
            bulk.insert(new)
    except IntegrityError as error:
        # Somebody else wrote one of them since we looked: theirs stands, if it says the same.
        stored = _stored(model, drafts)
        if not any(draft.pk in stored for draft in new):
            raise _explained(model, new, error) from error
        new = [draft for draft in new if draft.pk not in stored]
        bulk.insert(new)
    if len(new) == len(drafts):
        return list(drafts), new
    made = {draft.pk: draft for draft in new}
    return [_same(draft, stored.get(draft.pk) or made[draft.pk]) for draft in drafts], new


def _sign(drafts: Sequence[Record], job: Job, by: User, at: datetime) -> None:
    """Set the job, the person and the time of many drafts: what assigning them does, at a tenth of its cost."""
    columns, related = {"job_id": job.pk, "recorded_by_id": by.pk, "recorded_at": at}, {"job": job, "recorded_by": by}
    for draft in drafts:
        draft.__dict__.update(columns)
        draft._state.fields_cache.update(related)


def _stored(model: type[R], drafts: Sequence[R]) -> dict[object, R]:
    keys = Keys([draft.id for draft in drafts])
    return {row.pk: row for row in model._default_manager.filter(pk__among=keys)}


def _without_doubles(drafts: Sequence[R]) -> list[R]:
    once = {draft.id: draft for draft in reversed(drafts)}
    return list(reversed(once.values()))


def _same(draft: R, stored: R) -> R:
    if draft is stored:
        return stored
    if stored.job_id != draft.job_id:
        # What another job holds, and in what it differs, is nobody's business here.
        raise RecordClash("This id is taken; send the record under a new one.")
    for name, read in readers(type(draft)):
        if name not in SERVER_SIDE and _settled(draft, name, read(draft)) != plain(read(stored)):
            raise RecordClash(
                f"This record was already sent with other content ({_said(name)} differs). "
                "Send a changed record under a new id, as a correction of the old one."
            )
    return stored


def _said(column: str) -> str:
    return column.removesuffix("_id").replace("_", " ")


def _settled(draft: models.Model, name: str, value: object) -> object:
    """A draft's value as the database would give it back."""
    return plain(draft._meta.get_field(name).to_python(value))  # type: ignore[union-attr]


def _explained(model: type[Record], drafts: Sequence[Record], error: IntegrityError) -> Exception:
    replaced = [draft.replaces_id for draft in drafts if draft.replaces_id]
    if replaced and model._default_manager.filter(replaces__in=replaced).exists():
        return RecordClash("This record was already corrected; correct the newer record instead.")
    return error
