"""Derive every stored state and finding again from the records."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import transaction

from records.models import Job
from records.rebuild import differences, rebuild


class Command(BaseCommand):
    """Mend what is stored, or with --check only compare and exit 1 on a difference."""

    help = "Derive every stored state and finding again from the records."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job's code, and whether to compare only."""
        parser.add_argument("--job", help="the job's code; all jobs where absent")
        parser.add_argument("--check", action="store_true", help="compare only")

    def handle(self, *args: Any, **options: Any) -> None:
        """Compare or rebuild each job asked for."""
        jobs = Job.objects.filter(code=options["job"]) if options["job"] else Job.objects.order_by("code")
        if options["job"] and not jobs:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        found = 0
        for job in jobs:
            for difference in differences(job):
                found += 1
                self.stderr.write(f"{job.code}: {difference}")
            if not options["check"]:
                with transaction.atomic():
                    rebuild(job)
        if options["check"] and found:
            sys.exit(1)
        self.stdout.write("Stored state is what follows from the records." if not found else f"{found} mended.")
