"""A workbook that was sent in and checked, as a row alone: what the pages of an import need to be shown."""

from typing import Any

from django.utils import timezone

from office.actions.apply_workbook import KIND as APPLY
from office.actions.check_workbook import KIND
from records.models import Job, User, Work

COUNTS: list[dict[str, Any]] = [
    {"sheet": "Heats", "new": 1, "changed": 0, "unchanged": 0, "refused": 0, "first": {"new": [(2, "heat H-9")]}}
]


def checked_workbook(job: Job, by: User) -> Work:
    """A check that found one new row and no fault."""
    said = {"file": "imports/none.xlsx", "name": "small.xlsx", "sha256": "0" * 64}
    result = {
        "counts": COUNTS, "faults": 0, "faults_file": "", "changes": 0, "changes_file": "", "notices": [],
        "more_notices": 0, "is_changed": False, "digest": "0" * 64,
    }  # fmt: skip
    return Work.objects.create(
        job=job, kind=KIND, state="done", arguments=said, result=result, asked_by=by, asked_at=timezone.now()
    )


def applied_workbook(job: Job, by: User) -> Work:
    """An application that wrote the job's last entry."""
    said = {"file": "imports/none.xlsx", "name": "small.xlsx", "sha256": "0" * 64, "check": "none", "reason": ""}
    result = {"counts": {"Heats": 1}, "entries": 1, "head": f"1:{'0' * 64}"}
    return Work.objects.create(
        job=job, kind=APPLY, state="done", arguments=said, result=result, asked_by=by, asked_at=timezone.now()
    )
