"""Print the open findings of a job."""

import csv
import json
from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from inspection.queries.findings_told import FIELDS, Told, joints_called, open_findings
from records.models import Job


class Command(BaseCommand):
    """Print the open findings as a table, as JSON or as CSV; findings are no fault, so the exit code is 0."""

    help = "Print the open findings of a job."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job, and which findings in which form."""
        parser.add_argument("--job", required=True, metavar="CODE", help="the job's code")
        parser.add_argument("--joint", metavar="N", help="a joint's number, or drawing/sheet/number")
        parser.add_argument(
            "--as-of", metavar="DATE", help="as the records up to this day have it, for example 2026-09-01"
        )
        parser.add_argument("--format", choices=tuple(_FORMS), default="table", help="table, json or csv")

    def handle(self, *args: Any, **options: Any) -> None:
        """Find and print."""
        job = Job.objects.filter(code=options["job"]).first()
        if job is None:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        joints = None
        if options["joint"] is not None:
            joints = joints_called(job, options["joint"])
            if not joints:
                raise CommandError(f"There is no joint {options['joint']} on {job.code}.", returncode=1)
        found = open_findings(job, joints=joints, as_of=_day(options["as_of"]))
        _FORMS[options["format"]](found, self.stdout)


def _day(written: str | None) -> date | None:
    if written is None:
        return None
    try:
        return date.fromisoformat(written)
    except ValueError as error:
        raise CommandError(f"{written} is no date; write it as 2026-09-01.", returncode=2) from error


def _as_table(found: Iterable[Told], out: Any) -> None:
    count = 0
    for one in found:
        count += 1
        out.write(f"{one.joint:<24} {one.attempt:<3} {one.severity:<8} {one.code:<26} {one.message}")
    out.write(f"{count} open findings" if count != 1 else "1 open finding")


def _as_json(found: Iterable[Told], out: Any) -> None:
    out.write(json.dumps([one.as_dict() for one in found], indent=1, ensure_ascii=False))


def _as_csv(found: Iterable[Told], out: Any) -> None:
    lines = csv.DictWriter(out, FIELDS, lineterminator="\n")
    lines.writeheader()
    lines.writerows(one.as_dict() for one in found)


_FORMS: dict[str, Callable[[Iterable[Told], Any], None]] = {"table": _as_table, "json": _as_json, "csv": _as_csv}
