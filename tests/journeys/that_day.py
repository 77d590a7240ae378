"""Prepare or serve the demonstration as on the day on which its story ends, whatever day it is now.

Run as `python -m tests.journeys.that_day prepare` or `... serve PORT`. Who may weld changes with the months: a journey that
passes today must pass in a year.
"""

import sys
from datetime import UTC, datetime

import time_machine
from django import setup
from django.core.management import call_command
from django.core.servers.basehttp import ThreadedWSGIServer, WSGIRequestHandler
from django.core.wsgi import get_wsgi_application

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


def serve(port: int) -> None:
    """Serve the site until somebody ends the process."""
    server = ThreadedWSGIServer(("127.0.0.1", port), Quietly)
    server.set_app(get_wsgi_application())
    server.serve_forever()


if __name__ == "__main__":
    with time_machine.travel(THAT_DAY, tick=True):
        if sys.argv[1] == "prepare":
            prepare()
        else:
            serve(int(sys.argv[2]))
