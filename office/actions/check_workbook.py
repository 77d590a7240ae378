"""Check a workbook that was sent in: keep the file, find every fault and every change, and write nothing."""

import json
import re
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from hashlib import sha256
from pathlib import Path, PurePath
from tempfile import TemporaryDirectory
from typing import Any

from django.core.files import File
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction

from office.importing.archive import Unreadable
from office.importing.cells_of import fill_values
from office.importing.faults import CellFault
from office.importing.own_names import OwnNames
from office.importing.sources import MOST_BYTES, SUFFIXES
from office.importing.workbook import Manner, Outcome, import_in_manner
from office.queries.imports import CHECK, all_faults
from office.queries.own_names import guesses_of, names_of, names_said
from records import work as works
from records.models import Job, User, Work
from records.models.base import new_id
from records.permissions import require
from records.refusals import Fault, Implausible, Refusal
from records.work import Lost, Tell

KIND = CHECK
ACCEPTED = f"an .xlsx or .ods workbook, a .csv file, or a .zip of them, of at most {MOST_BYTES // 1_000_000} MB"
# A workbook that is no larger, nor unpacks to more, is checked while its sender waits.
SMALL_BYTES, SMALL_UNPACKED = 100_000, 2_000_000
MOST_NOTICES = 100
_LONGEST_NAME = 100
# What a file is, as its check, its application and a check anew all name it.
KEPT = ("file", "name", "sha256", "names")
_GONE = "The file is gone from the storage; send it again."


def ask_check(upload: "File[bytes]", name: str, *, job: Job, by: User) -> Work:
    """Keep a file that was sent in and write a row that asks for its check; a small one is checked at once.

    Raises NotAllowed, Implausible (no file, an ending that is not accepted, empty, too large)
    """
    require(by, job, "plan")
    name = clean_name(name)
    suffix = PurePath(name).suffix.lower()
    if fault := _fault_of(upload.size, suffix):
        raise Implausible(fault, [Fault("file", fault, ACCEPTED)])
    upload.seek(0)
    digest = _digest(upload)
    upload.seek(0)
    kept = default_storage.save(f"imports/{new_id().hex}{suffix}", upload)
    said = {"file": kept, "name": name, "sha256": digest}
    return _asked(said | _named(names_said(job)), upload.size, job=job, by=by)


def ask_again(check: Work, *, by: User, names: OwnNames | None = None) -> Work:
    """Check the file of an earlier check once more.

    names   what its own sheets and headings mean, remembered for the job; None where that stays as it was
    Raises  NotAllowed, Implausible (the file is gone)
    """
    require(by, check.job, "plan")
    try:
        with default_storage.open(check.arguments["file"]) as kept:
            size = kept.size
    except FileNotFoundError as gone:
        raise Implausible(_GONE) from gone
    said = {name: check.arguments[name] for name in KEPT if name in check.arguments}
    if names is not None:
        said |= _named(names) | {"said": names.keep()}
    return _asked(said, size, job=check.job, by=by)


def check_asked(work: Work, tell: Tell) -> dict[str, Any]:
    """Check the workbook of a row; run again, it says the same. Raises NotAllowed, Busy and what the actions refuse"""
    with local_copy(work) as path:
        outcome = import_in_manner(
            path, work.job.code, Manner(only_check=True, tell=tell, names=names_of(work)), by=work.asked_by
        )
        fill_values(path, outcome.places)
    return _result(work, outcome)


def remarked(work: Work) -> bytes | None:
    """Return a checked .xlsx with a remark on each faulty cell; nothing for a file that can't take them."""
    # With it come numpy, lxml and PIL, which would make every start of the site and of a command a tenth longer.
    from office.importing.remarks import takes_remarks, with_remarks  # noqa: PLC0415

    faults = [
        CellFault(**{name: value for name, value in row.items() if name != "cell"}) for row in all_faults(work.result)
    ]
    with local_copy(work) as path:
        try:
            return with_remarks(path, faults) if takes_remarks(path) and any(one.row for one in faults) else None
        except Unreadable:
            return None


def digest_of(outcome: Outcome, job: Job) -> str:
    """Return the sum of what an import would do: one that differs is not the one that was shown."""
    counts = {sheet: (one.new, one.changed, one.unchanged) for sheet, one in outcome.counts.items()}
    said = [counts, outcome.refused, outcome.changed, outcome.faults, job.units, job.time_zone]
    return sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


@contextmanager
def local_copy(work: Work) -> Iterator[Path]:
    """The kept file of a work under the name it was sent with, in a folder of its own. Raises Implausible"""
    with TemporaryDirectory(prefix="spoolbook-") as folder:
        path = Path(folder) / work.arguments["name"]
        try:
            with default_storage.open(work.arguments["file"]) as kept, path.open("wb") as copy:
                for piece in kept.chunks():
                    copy.write(piece)
        except FileNotFoundError as gone:
            raise Implausible(_GONE) from gone
        yield path


def clean_name(name: str) -> str:
    """Return a file's name as a folder can hold it: no path, no letters that mean something to a system."""
    last = re.split(r"[/\\]", name)[-1]
    plain = re.sub(r"[^\w .()+&,-]+", "_", last).strip(" .") or "workbook"
    stem, suffix = PurePath(plain).stem, PurePath(plain).suffix
    return f"{stem[:_LONGEST_NAME]}{suffix[:10]}"


def _named(names: OwnNames) -> dict[str, Any]:
    return {"names": names.keep()} if names.sheets else {}


def _fault_of(size: int, suffix: str) -> str:
    if suffix not in SUFFIXES:
        return f"A file that ends in “{suffix}” is not read." if suffix else "The file’s name has no ending."
    if not size:
        return "The file is empty."
    return "" if size <= MOST_BYTES else f"The file has more than {MOST_BYTES // 1_000_000} MB; split it."


def _digest(file: "File[bytes]") -> str:
    digest = sha256()
    for piece in file.chunks():
        digest.update(piece)
    return digest.hexdigest()


def _asked(arguments: dict[str, Any], size: int, *, job: Job, by: User) -> Work:
    with transaction.atomic():
        work = works.note(job, KIND, arguments, by=by)
        is_small = size <= SMALL_BYTES and _unpacked(arguments["file"]) <= SMALL_UNPACKED
        if not is_small:
            works.deliver(work.id)
    if is_small:
        _check_now(work)
    return work


def _check_now(work: Work) -> None:
    """Check while the sender waits; what goes wrong here stands on the row as it would in the background."""
    taken = works.take(work.id)
    if taken is None:
        return
    try:
        result = check_asked(taken, lambda step, done=0, total=0: None)
    except Lost:
        return
    except Refusal as refusal:
        works.fail(taken, refusal.message)
    else:
        works.finish(taken, result)


def _unpacked(name: str) -> int:
    """How much an archive says that it holds; nothing where it is none, which the check then says."""
    with default_storage.open(name) as kept:
        try:
            with zipfile.ZipFile(kept) as archive:
                return sum(entry.file_size for entry in archive.infolist())
        except (zipfile.BadZipFile, OSError, ValueError):
            return 0


def _result(work: Work, outcome: Outcome) -> dict[str, Any]:
    """What the row keeps: counts and first rows; the long lists stand in files beside the upload."""
    faults = ({**asdict(one), "cell": one.cell} for one in outcome.places)
    return {
        "counts": [
            {
                "sheet": sheet,
                "new": one.new,
                "changed": one.changed,
                "unchanged": one.unchanged,
                "refused": outcome.refused.get(sheet, 0),
                "first": outcome.first.get(sheet, {}),
            }
            for sheet, one in outcome.counts.items()
        ],
        "faults": len(outcome.places),
        "faults_file": _kept(work, "faults", faults),
        "changes": len(outcome.changed),
        "changes_file": _kept(work, "changes", ({"line": line} for line in outcome.changed)),
        "notices": outcome.notices[:MOST_NOTICES],
        "more_notices": max(0, len(outcome.notices) - MOST_NOTICES),
        "is_changed": outcome.is_changed,
        # As pairs: a database may put the keys of an object in another order.
        "seen": list(outcome.seen.items()),
        "guessed": sum(not one.is_sure for one in guesses_of(outcome.seen, names_of(work))),
        "digest": digest_of(outcome, work.job),
    }


def _kept(work: Work, what: str, rows: Iterable[dict[str, Any]]) -> str:
    """Write a list into the storage, a row a line, under the try's own name; nothing for an empty one."""
    lines = [json.dumps(row, ensure_ascii=False) for row in rows]
    if not lines:
        return ""
    name = f"imports/{work.id.hex}-{work.tries}-{what}.jsonl"
    return default_storage.save(name, ContentFile("\n".join(lines).encode()))
