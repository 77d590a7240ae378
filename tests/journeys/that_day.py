"""Prepare or serve the demonstration as on the day on which its story ends, whatever day it is now.

Run as `python -m tests.journeys.that_day prepare` or `... serve`. Who may weld changes with the months: a journey that
passes today must pass in a year.
"""

import os
import signal
import sys
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import time_machine
from django import setup
from django.conf import settings
from django.core.management import call_command
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.core.wsgi import get_wsgi_application
from django.urls import get_resolver

THAT_DAY = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)


class Quietly(WSGIRequestHandler):
    """Requests are told by the browser where they fail."""

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def prepare() -> None:
    """Make the tables, import the demonstration job, collect the static files."""
    setup()
    call_command("migrate", verbosity=0)
    call_command("load_demo")
    call_command("collectstatic", interactive=False, verbosity=0)


def serve() -> None:
    """Of each line read, a folder and a port, serve the site from the folder in a process of its own; say its id.

    The site takes more than a second to load, and is loaded once for all of them.
    """
    application = get_wsgi_application()
    get_resolver().url_patterns  # noqa: B018 - every view is loaded by the asking
    signal.signal(signal.SIGCHLD, bury)
    for line in sys.stdin:
        folder, port = line.rstrip("\n").rsplit(" ", 1)
        if child := os.fork():
            print(child, flush=True)
        else:
            signal.signal(signal.SIGCHLD, signal.SIG_DFL)
            serve_one(application, Path(folder), int(port))


def bury(*_: Any) -> None:
    """Let go of every site that has ended."""
    with suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def serve_one(application: Any, folder: Path, port: int) -> None:
    """Serve the site from its folder until somebody ends the process."""
    os.dup2(os.open(folder / "server.log", os.O_WRONLY | os.O_CREAT, 0o600), sys.stderr.fileno())
    settings.DATABASES["default"]["NAME"] = folder / "data" / "spoolbook.sqlite3"
    settings.MEDIA_ROOT = folder / "data" / "files"
    with time_machine.travel(THAT_DAY, tick=True):
        server = ThreadedWSGIServer(("127.0.0.1", port), Quietly)
        server.set_app(application)
        server.serve_forever()


if __name__ == "__main__":
    with time_machine.travel(THAT_DAY, tick=True):
        {"prepare": prepare, "serve": serve}[sys.argv[1]]()
