"""Export a whole job as a job workbook."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from office.exporting.workbook import export_workbook
from records.models import Job
from reports.spreadsheet import TooLong


class Command(BaseCommand):
    """Write the workbook that `import_workbook` reads; imported into an empty job it makes the same job."""

    help = "Export a whole job as an .xlsx job workbook."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job, and where to write."""
        parser.add_argument("--job", required=True, metavar="CODE", help="the job's code")
        parser.add_argument("--output", required=True, type=Path, metavar="FILE.xlsx", help="the file to write")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write beside, then rename: a file that is there is whole."""
        target: Path = options["output"]
        if target.suffix.lower() != ".xlsx":
            raise CommandError(f"The output {target.name} must end in .xlsx.", returncode=2)
        job = Job.objects.filter(code=options["job"]).first()
        if job is None:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        part = target.with_name(f".{target.name}.part")
        try:
            rows = export_workbook(job, part)
            part.replace(target)
        except TooLong as error:
            raise CommandError(str(error), returncode=1) from error
        except OSError as fault:
            raise CommandError(f"{target} can't be written: {fault.strerror}.", returncode=1) from fault
        finally:
            part.unlink(missing_ok=True)
        self.stdout.write(f"{target} written: {rows:,} rows.")
