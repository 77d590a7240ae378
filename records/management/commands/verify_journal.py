"""Prove that nothing in the journal was changed, removed, reordered or cut."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.epochs import epochs_of
from records.models import Job, JournalHead
from records.stored_files import bad_files
from records.verify import first_bad


class Command(BaseCommand):
    """Exit 1 and name the first bad entry, and every bad file, if anything is not as it was written."""

    help = "Recompute the journal from the raw rows and the stored files."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job's code and the head from outside."""
        parser.add_argument("--job", help="the job's code; all jobs where absent")
        parser.add_argument("--head", default="", help="NUMBER:HASH from a printed package or release")

    def handle(self, *args: Any, **options: Any) -> None:
        """Verify each journal asked for."""
        jobs = Job.objects.filter(code=options["job"]) if options["job"] else Job.objects.order_by("code")
        if options["job"] and not jobs:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        if options["head"] and len(jobs) > 1:
            raise CommandError("A head belongs to one job, and there are several: give --job too.", returncode=2)
        bad = [job for job in jobs if not self._is_sound(job, options["head"])]
        if bad:
            sys.exit(1)

    def _is_sound(self, job: Job, given: str) -> bool:
        """Verify one job's rows, then the files that its entries name."""
        try:
            bad = first_bad(job, head=given)
        except ValueError as fault:
            raise CommandError(str(fault), returncode=2) from fault
        faults = [bad.message] if bad else []
        if not bad:
            # Only an entry that is as it was written says what a file must be.
            faults = [message for _, message in bad_files(job)]
        for message in faults:
            self.stderr.write(f"{job.code}: {message}")
        if not faults:
            head = JournalHead.objects.get(job=job)
            self.stdout.write(f"{job.code}: {head.number} entries, all as written. Head {head.number}:{head.hash}")
            for epoch in epochs_of(job):
                self.stdout.write(f"{job.code}: {epoch}")
        return not faults
