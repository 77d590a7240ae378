"""Import a job workbook: an .xlsx, an .ods, or a folder or .zip of .csv files named after the sheets."""

import sys
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import IntegrityError

from office.importing.workbook import NoSuchJob, Outcome, import_workbook
from records.models import User
from records.refusals import Refusal


class Command(BaseCommand):
    """Exit 1 with one line a fault, and nothing written, where any cell was refused."""

    help = "Import a job workbook, all or nothing."
    # They would load every page of the site, which no import needs; the server and `make check` run them.
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the file, the job and who imports."""
        parser.add_argument("file", help="an .xlsx or .ods workbook, or a folder or .zip of .csv files")
        parser.add_argument("--job", required=True, metavar="CODE", help="the job's code")
        parser.add_argument("--create", action="store_true", help="make the job where there is none of this code")
        parser.add_argument("--check", action="store_true", help="find every fault, but change nothing")
        parser.add_argument("--user", metavar="NAME", help="who imports; the site's own account where absent")

    def handle(self, *args: Any, **options: Any) -> None:
        """Import, and say what came of it."""
        by = self._person(options["user"])
        try:
            outcome = import_workbook(
                Path(options["file"]), options["job"], by=by, may_create=options["create"], only_check=options["check"]
            )
        except FileNotFoundError as error:
            raise CommandError(f"There is no file {options['file']}.", returncode=2) from error
        except (NoSuchJob, Refusal) as error:
            raise CommandError(str(error), returncode=1) from error
        except IntegrityError as error:
            raise CommandError(
                "Somebody wrote the same rows meanwhile, so nothing was written; import the workbook again.",
                returncode=1,
            ) from error
        self._report(outcome)
        if outcome.faults:
            for fault in outcome.faults:
                self.stderr.write(fault)
            sys.exit(1)
        self.stdout.write(_closing(outcome, options))

    def _person(self, name: str | None) -> User | None:
        if name is None:
            return None
        person = User.objects.filter(username=name, is_active=True).first()
        if person is None:
            raise CommandError(f"Nobody signs in as {name}; name somebody who does, or leave --user out.", returncode=2)
        return person

    def _report(self, outcome: Outcome) -> None:
        for line in (*outcome.notices, *outcome.changed):
            self.stdout.write(line)
        if outcome.counts:
            self.stdout.write(f"{'sheet':<18}{'new':>9}{'changed':>9}{'unchanged':>11}{'refused':>9}")
        for sheet, count in outcome.counts.items():
            refused = outcome.refused.get(sheet, 0)
            self.stdout.write(f"{sheet:<18}{count.new:>9}{count.changed:>9}{count.unchanged:>11}{refused:>9}")


def _closing(outcome: Outcome, options: dict[str, Any]) -> str:
    if not outcome.is_changed:
        return f"Nothing changed: {options['job']} says all of this already."
    if options["check"]:
        return "Checked: no cell is at fault, and nothing was written."
    return f"Imported into {options['job']}. Journal head {outcome.head}"
