"""Do long work: packages, large imports, wide refreshes."""

import asyncio
import signal
from threading import Event
from typing import Any

from django.core.management.base import BaseCommand
from django.db import connection, connections

from office.calling.sender import start_sending
from office.serving import serve
from office.worker import sweep
from records import work as works


class Command(BaseCommand):
    """Work until the process is told to stop; start as many as there are hands wanted."""

    help = "Do long work (packages, large imports, wide refreshes, webhooks) until told to stop."

    def handle(self, *args: Any, **options: Any) -> None:
        """Take what procrastinate brings on PostgreSQL; on SQLite look for what was left behind."""
        self.stdout.write("Waiting for work; Ctrl-C stops.")
        sending = start_sending()
        if connection.vendor == "postgresql":
            asyncio.run(serve())
        else:
            self._sweep_until_told()
        sending.set()

    def _sweep_until_told(self) -> None:
        told = Event()
        for one in (signal.SIGINT, signal.SIGTERM):
            signal.signal(one, lambda *_: told.set())
        while not told.is_set():
            sweep()
            connections.close_all()
            told.wait(works.SILENCE.total_seconds() / 2)
