"""Build a turnover package and write it to a folder."""

import time
from pathlib import Path
from shutil import copyfileobj
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db.models.fields.files import FieldFile

from office.actions.build_package import ask_package, file_name
from office.queries.scope import scope_of
from office.worker import run_work
from records.models import Attachment, Certificate, Job, Package, Work
from records.refusals import Refusal
from records.site_account import site_account

WAIT_SECONDS = 0.5


class Command(BaseCommand):
    """The same as the button, and the same row: this process takes it, unless a worker is faster."""

    help = "Build the turnover package of a job, a line or a spool."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the job, the scope and the folder."""
        parser.add_argument("--job", required=True, help="the job's code")
        which = parser.add_mutually_exclusive_group()
        which.add_argument("--line", help="the line's number; the whole job where neither line nor spool is given")
        which.add_argument("--spool", help="the spool's mark, or LINE/MARK where several lines have that mark")
        parser.add_argument("--output", required=True, type=Path, help="the folder for the package and its manifest")

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask for the package, build it and write it."""
        job = Job.objects.filter(code=options["job"]).first()
        if job is None:
            raise CommandError(f"There is no job {options['job']}.", returncode=1)
        kind = "line" if options["line"] is not None else "spool" if options["spool"] is not None else "job"
        folder: Path = options["output"]
        try:
            folder.mkdir(parents=True, exist_ok=True)
            scope = scope_of(job, kind, options["line"] or options["spool"] or "")
            work = ask_package(scope, job=job, by=site_account(job))
            package = self._built(work)
            target = folder / file_name(job, package.scope)
            _copy(package.file, target)
            _copy(package.manifest, folder / "manifest.txt")
            copied = _copy_certificates(job, folder)
        except Refusal as refusal:
            raise CommandError(refusal.message, returncode=1) from refusal
        except OSError as fault:
            raise CommandError(f"{folder} can't be written: {fault.strerror}.", returncode=1) from fault
        self.stdout.write(
            f"{target} written: {package.pages} pages, {package.missing} still missing, {copied} certificates."
            f"\nJournal head {package.head_number}:{package.head_hash}"
        )

    def _built(self, work: Work) -> Package:
        """Do the work here, or wait for whoever took it first."""
        run_work(work.id)
        while (now := Work.objects.get(id=work.id)).state in ("queued", "running"):
            time.sleep(WAIT_SECONDS)
            run_work(work.id)
        if now.state == "failed":
            raise CommandError(now.error, returncode=1)
        return Package.objects.get(id=now.result["package"])


def _copy(file: FieldFile, target: Path) -> None:
    """Write beside, then rename: a file that is there is whole."""
    part = target.with_name(f".{target.name}.part")
    with file.open("rb") as stream, part.open("wb") as out:
        copyfileobj(stream, out)
    part.replace(target)


def _copy_certificates(job: Job, folder: Path) -> int:
    """Put the certificates where the manifest says that they lie, so that it can be checked whole."""
    copied = 0
    for line in (folder / "manifest.txt").read_text(encoding="utf-8").splitlines():
        digest, _, name = line.partition("  ")
        if not name.startswith("certificates/"):
            continue
        # A certificate and a paper of welding may be one and the same file: either holds the bytes.
        certificate = next(
            (
                found
                for model in (Certificate, Attachment)
                if (found := model._default_manager.filter(job=job, sha256=digest).first())
            ),
            None,
        )
        if certificate:
            (folder / "certificates").mkdir(exist_ok=True)
            _copy(certificate.file, folder / name)
            copied += 1
    return copied
