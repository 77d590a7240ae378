"""Long work as a row: asking for it, taking it, telling how far it is; an engine only carries the row's id."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Protocol
from uuid import UUID

from django.conf import settings
from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone
from django.utils.module_loading import import_string

from records.models import Job, User, Work

# A worker that gives no sign of life for this long is taken to be dead, and its work is taken by another.
SILENCE = timedelta(seconds=settings.WORK_SILENCE_SECONDS)
# Work that has killed this many workers is given up.
TRIES = 5
TASK = "run work"


class Lost(Exception):
    """The row was taken by another worker, which thought this one dead."""


class Tell(Protocol):
    """How long work says what it is doing and how far it is."""

    def __call__(self, step: str, done: int = 0, total: int = 0) -> None:
        """Say it."""


def ask(job: Job, kind: str, arguments: dict[str, Any], *, by: User) -> Work:
    """Write a row for long work and hand its id to the engine when the transaction ends; returns at once."""
    work = note(job, kind, arguments, by=by)
    deliver(work.id)
    return work


def note(job: Job, kind: str, arguments: dict[str, Any], *, by: User) -> Work:
    """Write a row for long work that the caller takes itself; where it does not, the sweep hands it out."""
    return Work.objects.create(job=job, kind=kind, arguments=arguments, asked_by=by, asked_at=timezone.now())


def deliver(work_id: UUID) -> None:
    """Hand a work row's id to whichever engine the database has: procrastinate, or a thread of this process.

    Raises procrastinate's AlreadyEnqueued where the id waits there already.
    """
    if connection.vendor == "postgresql":
        # Found by name because the package is only an app of the site where the database is PostgreSQL.
        app = import_string("procrastinate.contrib.django.app")
        app.configure_task(TASK, allow_unknown=True, queueing_lock=str(work_id)).defer(work_id=str(work_id))
        return
    start: Callable[[UUID], None] = import_string(settings.WORK_THREAD)
    transaction.on_commit(lambda: start(work_id))


def take(work_id: UUID) -> Work | None:
    """Claim a row: queued, or left by a worker that went silent. Returns None where somebody else has it."""
    now = timezone.now()
    free = Q(state="queued") | Q(state="running", beat_at__lt=now - SILENCE)
    taken = Work.objects.filter(free, id=work_id).update(state="running", beat_at=now, tries=F("tries") + 1)
    return Work.objects.select_related("job", "asked_by").get(id=work_id) if taken else None


def beat(work: Work, *, step: str, done: int, total: int, log: str) -> bool:
    """Tell how far the work is; also the sign of life. False where the row was taken by another in the meantime."""
    return _hold(work, step=step[:120], done=done, total=total, log=log)


def is_mine(work: Work) -> bool:
    """Say whether a row is still this worker's, and lock it; in the transaction that stores what the work made."""
    held = Work.objects.select_for_update().filter(id=work.id, state="running", tries=work.tries)
    return held.first() is not None


def keep(work: Work, result: dict[str, Any]) -> None:
    """Write the result in the transaction that stores what was made, before the row closes. Raises Lost"""
    if not is_mine(work):
        raise Lost
    Work.objects.filter(id=work.id).update(result=result)


def finish(work: Work, result: dict[str, Any]) -> bool:
    """Close a row as done. False where it was taken by another in the meantime."""
    return _hold(work, state="done", result=result, error="", ended_at=timezone.now())


def fail(work: Work, error: str) -> bool:
    """Close a row as failed, with the sentence that says why. False where it was taken by another in the meantime."""
    return _hold(work, state="failed", error=error, ended_at=timezone.now())


def silent(now: datetime) -> list[UUID]:
    """Return rows that nobody works on: queued long ago, or left by a worker that went silent."""
    left = Q(state="queued", asked_at__lt=now - SILENCE) | Q(state="running", beat_at__lt=now - SILENCE)
    return list(Work.objects.filter(left, tries__lt=TRIES).order_by("asked_at").values_list("id", flat=True))


def give_up(now: datetime) -> int:
    """Close the rows whose every worker stopped without a word, so that nobody waits for them; returns how many."""
    lost = Work.objects.filter(state="running", beat_at__lt=now - SILENCE, tries__gte=TRIES)
    error = f"{TRIES} workers stopped in the middle of this, the last without a word. Tell your administrator."
    return lost.update(state="failed", error=error, ended_at=now)


def _hold(work: Work, **values: Any) -> bool:
    """Write to a row only as the worker that took it last: one thought to be dead may wake up late."""
    mine = Work.objects.filter(id=work.id, state="running", tries=work.tries)
    return bool(mine.update(beat_at=timezone.now(), **values))
