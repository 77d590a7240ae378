"""Derive again, in the background, the joints whose findings a wide change left stale."""

from typing import Any
from uuid import UUID

from django.db import transaction

from records.models import Job, Joint, Work
from records.refresh import refresh
from records.retrying import retried
from records.work import Tell

BATCH = 2000


def refresh_stale(work: Work, tell: Tell) -> dict[str, Any]:
    """Refresh the job's stale joints, each batch in a transaction of its own; returns how many there were.

    Safe to run twice: what is fresh is left alone. A batch that is derived is not lost with the worker.
    """
    stale = Joint.objects.filter(job=work.job, is_stale=True).order_by("id")
    total, done = stale.count(), 0
    last: UUID | None = None
    while batch := _next(stale.values_list("id", flat=True), last):
        tell("Findings", done, total)
        _refresh(work.job, batch)
        done, last = done + len(batch), batch[-1]
    tell("Findings", done, max(done, total))
    return {"joints": done}


@retried
@transaction.atomic
def _refresh(job: Job, batch: list[UUID]) -> None:
    refresh(job, batch)


def _next(stale: Any, last: UUID | None) -> list[UUID]:
    """The next batch by key, so that a joint that turns stale again meanwhile can't hold the work up for ever."""
    return list((stale.filter(id__gt=last) if last else stale)[:BATCH])
