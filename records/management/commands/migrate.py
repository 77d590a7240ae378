"""Django's migrate, then the table of what is kept for a while, and the records' triggers again: SQLite drops them when
it rebuilds a table."""

from typing import Any

from django.core.management import call_command
from django.core.management.commands.migrate import Command as DjangoMigrate
from django.db import connections

from records.immutability import install_triggers


class Command(DjangoMigrate):
    """Migrate, then make sure that records can't be changed."""

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the migrations and install every trigger whose table exists."""
        super().handle(*args, **options)
        if not (options.get("plan") or options.get("check_unapplied")):
            call_command("createcachetable", database=options["database"], verbosity=0)
            install_triggers(connections[options["database"]])
