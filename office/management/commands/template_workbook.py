"""Write the empty job workbook, with what each column takes as a note."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from office.exporting.template import write_template
from records.models.job import UNITS


class Command(BaseCommand):
    """Write every sheet with its heads; those that must be there are marked."""

    help = "Write the empty job workbook, with a note on each column."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take where to write, and in which units the notes speak."""
        parser.add_argument("--output", required=True, type=Path, metavar="FILE.xlsx", help="the file to write")
        parser.add_argument("--units", choices=UNITS, default="US", help="what a bare number means; US where not said")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write it."""
        target: Path = options["output"]
        if target.suffix.lower() != ".xlsx":
            raise CommandError(f"The output {target.name} must end in .xlsx.", returncode=2)
        try:
            write_template(target, options["units"])
        except OSError as fault:
            raise CommandError(f"{target} can't be written: {fault.strerror}.", returncode=1) from fault
        self.stdout.write(f"{target} written.")
