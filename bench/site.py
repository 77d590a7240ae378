"""Start the site on the benchmarks' own database, once."""

import os
from functools import cache

import django
from django.core.management import call_command
from django.db import connections


@cache
def start() -> None:
    """Set Django up and migrate."""
    set_up()
    call_command("migrate", verbosity=0)


def set_up() -> None:
    """Set Django up on a database that is migrated."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "weldtrack.settings")
    django.setup()


def leave() -> None:
    """Close the connections, so that the database can be dropped."""
    connections.close_all()
