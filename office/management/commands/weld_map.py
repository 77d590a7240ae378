"""Write the weld map of a line or a drawing."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from office.queries.papers import drawing_map, weld_map_pdf, weld_map_svg
from office.queries.scope import line_of
from records.models import Job
from records.refusals import Refusal
from reports.page import SIZES

FORMS = (".pdf", ".svg")


class Command(BaseCommand):
    """Write the map as a PDF or an SVG, by the ending of the file."""

    help = "Write the weld map of a line or a drawing."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job, the line or drawing, and where to write."""
        parser.add_argument("--job", required=True, help="the job's code")
        which = parser.add_mutually_exclusive_group(required=True)
        which.add_argument("--line", help="the line's number")
        which.add_argument("--drawing", help="the drawing's number")
        parser.add_argument("--paper", choices=list(SIZES), default="", help="of isometrics (default: A3 or Tabloid)")
        parser.add_argument("--as-built", action="store_true", help="with stamps and dates, where a sheet has a route")
        parser.add_argument("--output", required=True, type=Path, help="the file, ending in .pdf or .svg")

    def handle(self, *args: Any, **options: Any) -> None:
        """Draw the map and write it."""
        target: Path = options["output"]
        if target.suffix.lower() not in FORMS:
            raise CommandError(f"The output {target.name} must end in .pdf or .svg.", returncode=2)
        job = Job.objects.filter(code=options["job"]).first()
        if job is None:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        try:
            content = self._content(job, options, svg=target.suffix.lower() == ".svg")
            target.write_bytes(content)
        except Refusal as refusal:
            raise CommandError(refusal.message, returncode=1) from refusal
        except OSError as fault:
            raise CommandError(f"{target} can't be written: {fault.strerror}.", returncode=1) from fault
        self.stdout.write(f"{target} written.")

    def _content(self, job: Job, options: dict[str, Any], *, svg: bool) -> bytes:
        how = {"paper": options["paper"], "as_built": options["as_built"]}
        if options["drawing"] is not None:
            return drawing_map(job, options["drawing"], svg=svg, **how)
        line = line_of(job, options["line"])
        return weld_map_svg(job, line).encode() if svg else weld_map_pdf(job, line, **how)
