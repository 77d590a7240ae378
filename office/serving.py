"""Worker processes on PostgreSQL: procrastinate brings ids of work, and a sweep finds what was left behind."""

import asyncio
import contextlib
import logging

from asgiref.sync import sync_to_async
from django.db import DatabaseError, close_old_connections
from procrastinate.contrib.django import DjangoApp, app
from procrastinate.exceptions import ConnectorException
from procrastinate.jobs import Status

from office.worker import sweep
from records import work as works

logger = logging.getLogger(__name__)
POLL_SECONDS = 5.0


async def serve() -> None:
    """Work until the process is told to stop; what is under way is finished first.

    An app of its own with the worker's connector: what the work itself asks for still goes through Django's
    connection, and so stands or falls with the transaction that asked.
    """
    serving = DjangoApp(connector=app.connector.get_worker_connector())  # type: ignore[attr-defined]
    serving.tasks.update(app.tasks)
    async with serving.open_async():
        sweeping = asyncio.create_task(_sweep_for_ever(serving))
        try:
            await serving.run_worker_async(delete_jobs="always", fetch_job_polling_interval=POLL_SECONDS)
        finally:
            sweeping.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await sweeping


async def _sweep_for_ever(serving: DjangoApp) -> None:
    while True:
        try:
            await sync_to_async(_sweep, thread_sensitive=False)()
            await _forget_stalled(serving)
        except (DatabaseError, ConnectorException):
            # A database that is away for a moment is met again at the next round.
            logger.warning("The sweep could not look for work left behind.", exc_info=True)
        await asyncio.sleep(works.SILENCE.total_seconds() / 2)


def _sweep() -> None:
    close_old_connections()
    try:
        sweep()
    finally:
        close_old_connections()


async def _forget_stalled(serving: DjangoApp) -> None:
    """Remove what a killed worker left as "doing": the row of work is the truth, and the sweep hands it out again."""
    for job in await serving.job_manager.get_stalled_jobs():
        await serving.job_manager.finish_job(job=job, status=Status.FAILED, delete_job=True)
