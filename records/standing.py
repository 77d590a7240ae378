"""The records that stand, now or on a day before: neither corrected by a later one nor withdrawn."""

from collections.abc import Iterable
from datetime import date
from typing import TypeVar
from uuid import UUID

from django.db.models import QuerySet

from records.models import Job, Withdrawal
from records.models.base import Record

R = TypeVar("R", bound=Record)


def standing(model: type[R], job: Job) -> QuerySet[R]:
    """Return the standing records of a kind, for questions about many of them at once.

    Those that are corrected or withdrawn are few and looked up by key: to join all records with all takes PostgreSQL
    seven times as long.
    """
    rows = model._default_manager.filter(job=job)
    withdrawn = Withdrawal.objects.filter(job=job, kind=model._meta.model_name).values("record")
    corrected = rows.filter(replaces__isnull=False).values("replaces")
    return rows.exclude(id__in=withdrawn).exclude(id__in=corrected)


def standing_on(rows: QuerySet[R], day: date, gone: Iterable[UUID] = ()) -> QuerySet[R]:
    """Narrow records with their corrections to those dated up to a day that no correction up to that day replaced.

    day   date.max for those that stand now; of any other the corrections are read: one query
    gone  what is withdrawn; it is left to the caller to leave that out
    """
    if day == date.max:
        return rows.filter(replaced_by__isnull=True)
    corrections = rows.filter(replaces__isnull=False).order_by().values_list("id", "replaces_id", "done_on")
    return rows.filter(done_on__lte=day).exclude(id__in=corrected(corrections, day, gone))


def corrected(versions: Iterable[tuple[UUID, UUID | None, date]], day: date, gone: Iterable[UUID] = ()) -> set[UUID]:
    """Return the records that count no more on a day: what was corrected up to it, and what is withdrawn.

    versions  id, what it replaces, and day of records; those that replace nothing may be left out
    A correction dated later leaves the record that it replaces as it was. Withdrawing one takes all before it too.
    """
    before, over = {}, set(gone)
    for key, replaced, done_on in versions:
        if replaced:
            before[key] = replaced, done_on
    for key, (replaced, done_on) in before.items():
        if done_on <= day or key in over:
            over.add(replaced)
            while replaced in before:
                replaced, _ = before[replaced]
                over.add(replaced)
    return over
