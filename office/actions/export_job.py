"""Export a whole job: at once where it is small, else asked for and written in the background."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import transaction

from office.exporting.workbook import export_workbook
from records import work as works
from records.models import Job, Joint, User, Work
from records.permissions import require
from records.refusals import Implausible
from records.sending import safe_name
from records.work import Tell
from reports.spreadsheet import TooLong

KIND = "export workbook"
# With more joints nobody waits for the answer of a page.
AT_ONCE = 3_000
# Of each job; an export is made again whenever somebody asks, so older ones only fill the storage.
KEPT = 3


def is_small(job: Job) -> bool:
    """Say whether a job can be written while somebody waits; one query."""
    return Joint.objects.filter(job=job).order_by().values("id")[: AT_ONCE + 1].count() <= AT_ONCE


def file_name(job: Job) -> str:
    """Return the name under which the workbook of a job is handed over."""
    return f"{safe_name(job.code)}.xlsx"


@transaction.atomic
def ask_export(job: Job, *, by: User) -> Work:
    """Write a row that asks for the workbook of a job, and return it at once; a worker writes it.

    Raises NotAllowed
    """
    require(by, job, "build package")
    return works.ask(job, KIND, {}, by=by)


def export_asked_job(work: Work, tell: Tell) -> dict[str, Any]:
    """Write the workbook that a row asks for into the storage; run again, it is written again in its place.

    Raises Implausible where a sheet would have more rows than a spreadsheet holds
    """
    with TemporaryDirectory(prefix="spoolbook-") as folder:
        path = Path(folder) / "workbook.xlsx"
        try:
            rows = export_workbook(work.job, path, tell=tell)
        except TooLong as error:
            raise Implausible(str(error)) from error
        tell("Keeping the workbook")
        name = f"exports/{work.id.hex}-{work.tries}.xlsx"
        default_storage.delete(name)
        with path.open("rb") as stream:
            kept = default_storage.save(name, File(stream))
        size = path.stat().st_size
    _forget_older(work)
    return {"file": kept, "rows": rows, "size": size}


def _forget_older(work: Work) -> None:
    """Delete the files of all but the latest exports of a job; their rows stay and say so."""
    done = Work.objects.filter(job=work.job, kind=KIND, state="done").exclude(result__file="").order_by("-asked_at")
    for older in done[KEPT - 1 :]:
        default_storage.delete(older.result["file"])
        Work.objects.filter(id=older.id).update(result=older.result | {"file": ""})
