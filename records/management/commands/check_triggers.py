"""Say whether the database refuses to change records."""

import sys
from typing import Any

from django.core.management.base import BaseCommand
from django.db import connection

from records.immutability import expected_triggers, missing_triggers


class Command(BaseCommand):
    """Exit 1 and name each trigger that is missing or switched off."""

    help = "Check that every trigger that protects records is in place."

    def handle(self, *args: Any, **options: Any) -> None:
        """Compare the triggers that stand with those that should."""
        missing = missing_triggers(connection)
        for line in missing:
            self.stderr.write(f"Missing trigger {line}; run: python manage.py migrate")
        if missing:
            sys.exit(1)
        self.stdout.write(f"All {len(expected_triggers(connection))} triggers are in place.")
