"""Long work as a row: asking for it, taking it, telling how far it is; an engine only carries the row's id."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.module_loading import import_string

from records.models import Job, User, Work

# A worker that gives no sign of life for this long is taken to be dead, and its work is taken by another.
SILENCE = timedelta(minutes=2)
TRIES = 5
TASK = "run work"


def ask(job: Job, kind: str, arguments: dict[str, Any], *, by: User) -> Work:
    """Write a row for long work and hand its id to the engine when the transaction ends; returns at once."""
    work = Work.objects.create(job=job, kind=kind, arguments=arguments, asked_by=by, asked_at=timezone.now())
    deliver(work.id)
    return work


def deliver(work_id: UUID) -> None:
    """Hand a work row's id to whichever engine the database has: procrastinate, or a thread of this process."""
    if connection.vendor == "postgresql":
        # Found by name because the package is only an app of the site where the database is PostgreSQL.
        app = import_string("procrastinate.contrib.django.app")
        app.configure_task(TASK, allow_unknown=True).defer(work_id=str(work_id))
        return
    start: Callable[[UUID], None] = import_string(settings.WORK_THREAD)
    transaction.on_commit(lambda: start(work_id))


def take(work_id: UUID) -> Work | None:
    """Claim a row: queued, or left by a worker that went silent. Returns None where somebody else has it."""
    now = timezone.now()
    free = Q(state="queued") | Q(state="running", beat_at__lt=now - SILENCE)
    taken = Work.objects.filter(free, id=work_id).update(state="running", beat_at=now, tries=F("tries") + 1)
    return Work.objects.select_related("job", "asked_by").get(id=work_id) if taken else None


def beat(work: Work, *, step: str, done: int, total: int) -> None:
    """Tell how far the work is; also the sign of life."""
    Work.objects.filter(id=work.id).update(step=step[:120], done=done, total=total, beat_at=timezone.now())


def finish(work: Work, result: dict[str, Any]) -> None:
    """Close a row as done."""
    _close(work, state="done", result=result, error="")


def fail(work: Work, error: str) -> None:
    """Close a row as failed, with the sentence that says why."""
    _close(work, state="failed", error=error)


def silent(now: datetime) -> list[UUID]:
    """Return rows that nobody works on: queued long ago, or left by a worker that went silent."""
    left = Q(state="queued", asked_at__lt=now - SILENCE) | Q(state="running", beat_at__lt=now - SILENCE)
    return list(Work.objects.filter(left).values_list("id", flat=True))


def _close(work: Work, **values: Any) -> None:
    Work.objects.filter(id=work.id).update(ended_at=timezone.now(), beat_at=timezone.now(), **values)
