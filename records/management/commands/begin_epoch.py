"""Say in the journal that the database was brought back from a backup."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from records.epochs import begin_epoch
from records.models import Job, User
from records.refusals import Refusal
from records.site_account import site_user


class Command(BaseCommand):
    """Begin a new epoch of each journal asked for; once after a restore, before anybody records."""

    help = "Say in the journal that the database was brought back from a backup."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job's code, the reason and who says so."""
        parser.add_argument("--job", help="the job's code; all jobs where absent")
        parser.add_argument("--reason", required=True, help="why the backup was brought back, and of which day it is")
        parser.add_argument("--user", metavar="NAME", help="who says so; the site's own account where absent")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the entries and print where each epoch began."""
        jobs = Job.objects.filter(code=options["job"]) if options["job"] else Job.objects.order_by("code")
        if options["job"] and not jobs:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        by = self._person(options["user"])
        for job in jobs:
            try:
                epoch = begin_epoch(job, by=by, reason=options["reason"])
            except Refusal as refusal:
                raise CommandError(refusal.message, returncode=2) from refusal
            self.stdout.write(f"{job.code}: {epoch}")

    def _person(self, name: str | None) -> User:
        if name is None:
            return site_user()
        person = User.objects.filter(username=name, is_active=True).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {name}; name somebody who does, or leave --user out.", returncode=2)
        return person
