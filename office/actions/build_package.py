"""Build a turnover package: ask for it, and, in the background, draw, bind and keep it."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import transaction
from django.utils import timezone

from office.queries.paper.certificates import certificates
from office.queries.paper.package import package_data
from office.queries.paper.title import about
from office.queries.scope import Scope, scope_of
from records import journal
from records import work as works
from records.insert import insert_once
from records.models import Job, Package, User, Work
from records.permissions import require
from records.snapshot import snapshot
from records.work import Lost, Tell
from reports.data import JournalHead
from reports.manifest import manifest
from reports.package import write_package

KIND = "build package"


@transaction.atomic
def ask_package(scope: Scope, *, job: Job, by: User) -> Work:
    """Write a row that asks for a package of a scope, and return it at once; a worker builds it.

    Raises NotAllowed
    """
    require(by, job, "build package")
    return works.ask(job, KIND, {"scope": scope.kind, "of": str(scope.id or "")}, by=by)


def build_asked_package(work: Work, tell: Tell) -> dict[str, Any]:
    """Build the package that a row asks for; run again, it returns the one that was built.

    Everything is read at one moment, that of the journal's head on the cover. The package exists only once its record
    does, which is written last, under the row's own id: however often the work runs, there is one package.
    Raises Lost where another worker has the row; Implausible where the line or spool is gone
    """
    if built := Package.objects.filter(id=work.id).first():
        return _result(built)
    scope = scope_of(work.job, work.arguments["scope"], work.arguments["of"])
    with TemporaryDirectory(prefix="spoolbook-") as temporary:
        folder = Path(temporary)
        draft = _drawn(work, scope, folder, tell)
        tell("Keeping the package")
        with _kept(work, draft, folder):
            return _result(_record(work, draft))


def file_name(job: Job, scope: str) -> str:
    """Return the name under which a package of a scope is handed over."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", f"{job.code}-{scope}-package").strip("-") + ".pdf"


def _drawn(work: Work, scope: Scope, folder: Path, tell: Tell) -> Package:
    """Write the package and its manifest into a folder; returns the record to be, its files not yet named."""
    target = folder / "package.pdf"
    with snapshot():
        found = certificates(scope, folder, tell)
        data, absent = package_data(about(scope, work.asked_by), found, folder, tell)
        steps = count(1)
        result = write_package(data, target, progress=lambda words: tell(_capital(words), next(steps)))
    head = data.cover.journal
    name = file_name(work.job, scope.name)
    files = {name: target} | {f"certificates/{name}": path for name, path in found.files.items()}
    sums = manifest(files)
    listed = (_heading(work.job, scope, head) + sums).encode()
    (folder / "manifest.txt").write_bytes(listed)
    return Package(
        id=work.id,
        scope=scope.name[:120],
        sha256=digest_of(sums, name),
        manifest_sha256=sha256(listed).hexdigest(),
        pages=result.pages,
        missing=absent + len(result.refused),
        head_number=head.number,
        head_hash=head.hash,
    )


def _heading(job: Job, scope: Scope, head: JournalHead) -> str:
    """What the manifest says of itself, in lines that `sha256sum --check` passes over."""
    return (
        f"# Turnover package of job {job.code}, {scope.words}.\n"
        "# Check what lies beside this file with: sha256sum --check --ignore-missing manifest.txt\n"
        "# The certificates are the files as they were attached, before they were bound into the package.\n"
        f"# Journal head when it was built: {head}\n"
    )


def digest_of(sums: str, name: str) -> str:
    """Return the sum of one file of a manifest. Raises KeyError for a file that it does not list."""
    lines = (line.split("  ", 1) for line in sums.splitlines() if not line.startswith("#"))
    return {listed: digest.removeprefix("\\") for digest, listed in lines}[name]


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


@contextmanager
def _kept(work: Work, draft: Package, folder: Path) -> Iterator[None]:
    """Put the files into the storage, and take them out again unless their record is written inside.

    A name carries the try: a worker thought to be dead that wakes up late takes nothing from the one after it.
    """
    for earlier in range(1, work.tries):
        _remove(*_names(work, earlier))
    kept: list[str] = []
    is_recorded = False
    try:
        for made, name in zip(("package.pdf", "manifest.txt"), _names(work, work.tries), strict=True):
            with (folder / made).open("rb") as stream:
                kept.append(default_storage.save(name, File(stream)))
        draft.file, draft.manifest = kept
        yield
        is_recorded = True
    finally:
        if not is_recorded:
            _remove(*kept)


def _names(work: Work, tries: int) -> tuple[str, str]:
    return f"packages/{work.id.hex}-{tries}.pdf", f"packages/{work.id.hex}-{tries}.txt"


def _remove(*names: str) -> None:
    for name in names:
        default_storage.delete(name)


@transaction.atomic
def _record(work: Work, draft: Package) -> Package:
    """Write the package's record and its entry in the journal, if the row is still this worker's."""
    if not works.is_mine(work):
        raise Lost
    at = timezone.now()
    stored, new = insert_once([draft], job=work.job, by=work.asked_by, at=at)
    journal.append(new, job=work.job, by=work.asked_by, at=at)
    return stored[0]


def _result(package: Package) -> dict[str, Any]:
    return {"package": str(package.id), "pages": package.pages, "missing": package.missing, "sha256": package.sha256}
