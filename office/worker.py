"""The worker: takes a row of long work, does it, and writes on the row how it went."""

import logging
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from threading import Lock, Thread
from time import sleep
from typing import Any
from uuid import UUID

from django.db import DatabaseError, connection, transaction
from django.utils import timezone
from procrastinate.exceptions import AlreadyEnqueued

from office.actions.apply_workbook import KIND as APPLY
from office.actions.apply_workbook import apply_asked
from office.actions.build_package import build_asked_package
from office.actions.check_workbook import KIND as CHECK
from office.actions.check_workbook import check_asked
from office.actions.export_job import export_asked_job
from office.actions.forget_uploads import forget_uploads
from office.actions.read_model import KIND as MODEL
from office.actions.read_model import model_asked
from office.actions.refresh_findings import refresh_stale
from office.actions.undo_import import KIND as UNDO
from office.actions.undo_import import undo_asked
from office.calling.sender import start_sending
from office.pulse import Pulse
from records import work as works
from records.models import Work
from records.refusals import Refusal
from records.work import Lost, Tell

logger = logging.getLogger(__name__)
KINDS: dict[str, Callable[[Work, Tell], dict[str, Any]]] = {
    "build package": build_asked_package,
    "refresh findings": refresh_stale,
    "export workbook": export_asked_job,
    CHECK: check_asked,
    APPLY: apply_asked,
    UNDO: undo_asked,
    MODEL: model_asked,
}
# One piece of work at a time in the threads of one process: the records of the shop floor come first.
_one_at_a_time = Lock()
_with_a_thread: set[UUID] = set()


def run_work(work_id: UUID) -> None:
    """Do a piece of long work, unless somebody else has it; safe to call twice, and again after a worker was killed."""
    work = works.take(work_id)
    if work is None:
        return
    with Pulse(work) as pulse:
        pulse.note(f"Taken up, try {work.tries}.")
        result, error = _outcome(work, pulse)
    works.beat(work, step=pulse.step, done=pulse.done, total=pulse.total, log=pulse.log)
    if error:
        works.fail(work, error)
    elif result is not None:
        works.finish(work, result)


def _outcome(work: Work, pulse: Pulse) -> tuple[dict[str, Any] | None, str]:
    """The result, or the sentence that says why there is none; neither where another worker has the row."""
    try:
        return KINDS[work.kind](work, pulse.tell), ""
    except Lost:
        logger.warning("Work %s was taken by another worker.", work.id)
        return None, ""
    except Refusal as refusal:
        return None, refusal.message
    except Exception:
        logger.exception("Work %s (%s) failed.", work.id, work.kind)
        return (
            None,
            f"The program failed at this; the server's log says why, under work {work.id}. Tell your administrator.",
        )


def start_thread(work_id: UUID) -> None:
    """Do a piece of work in a thread of this process, unless one has it already: the engine of a site on SQLite."""
    if work_id not in _with_a_thread:
        _with_a_thread.add(work_id)
        Thread(target=_in_thread, args=(work_id,), name=f"work {work_id}", daemon=True).start()


def _in_thread(work_id: UUID) -> None:
    try:
        with _one_at_a_time:
            run_work(work_id)
    finally:
        _with_a_thread.discard(work_id)
        connection.close()


def sweep() -> int:
    """Hand out again what nobody works on, and give up what killed every worker; returns how many were handed out.

    Once a day it removes the uploads that nobody used.
    """
    now = timezone.now()
    _forget_on(now.date())
    given_up = works.give_up(now)
    if given_up:
        logger.error("%s pieces of work were given up: every worker on them stopped without a word.", given_up)
    return sum(_delivered(work_id) for work_id in works.silent(now))


@lru_cache(maxsize=1)
def _forget_on(day: date) -> None:
    """Remove old uploads: once a day in each process, since a day is remembered."""
    try:
        forgotten = forget_uploads(timezone.now())
    except OSError:
        # A storage that is away for a moment is met again tomorrow.
        logger.warning("The sweep could not look for old uploads.", exc_info=True)
    else:
        logger.info("%s files that were sent in and not used were removed on %s.", forgotten, day)


def _delivered(work_id: UUID) -> bool:
    try:
        with transaction.atomic():
            works.deliver(work_id)
    except AlreadyEnqueued:
        return False
    return True


def watch() -> None:
    """Sweep, and send webhooks, for as long as the process lives; on SQLite, where no worker of its own does it."""
    if connection.vendor == "sqlite":
        Thread(target=_watch, name="sweep", daemon=True).start()
        start_sending()


def _watch() -> None:
    while True:
        try:
            sweep()
        except DatabaseError:
            # A database that is busy or away for a moment is met again at the next round.
            logger.warning("The sweep could not look for work left behind.", exc_info=True)
        connection.close()
        sleep(works.SILENCE.total_seconds() / 2)
