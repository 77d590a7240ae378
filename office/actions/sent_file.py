"""Files that are sent in to be read: kept under a name of the site's own, read now if small, else in the background."""

import re
import zipfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path, PurePath
from tempfile import TemporaryDirectory
from typing import Any

from django.core.files import File
from django.core.files.storage import default_storage
from django.db import transaction

from records import work as works
from records.models import Job, User, Work
from records.models.base import new_id
from records.refusals import Fault, Implausible, Refusal
from records.work import Lost, Tell

FOLDER = "imports"
# A file that is no larger, nor unpacks to more, is read while its sender waits.
SMALL_BYTES, SMALL_UNPACKED = 100_000, 2_000_000
_LONGEST_NAME = 100
_GONE = "The file is gone from the storage; send it again."


def kept_upload(upload: "File[bytes]", name: str, suffixes: Sequence[str], most: int, accepted: str) -> dict[str, Any]:
    """Keep a file that was sent in: where it is, the name it was sent under, and its sum.

    Raises Implausible (an ending that is not accepted, empty, too large)
    """
    name = clean_name(name)
    suffix = PurePath(name).suffix.lower()
    if fault := _fault_of(upload.size, suffix, suffixes, most):
        raise Implausible.of(Fault("file", fault, accepted))
    upload.seek(0)
    digest = _digest(upload)
    upload.seek(0)
    kept = default_storage.save(f"{FOLDER}/{new_id().hex}{suffix}", upload)
    return {"file": kept, "name": name, "sha256": digest}


def asked(
    kind: str, read: Callable[[Work, Tell], dict[str, Any]], arguments: dict[str, Any], *, job: Job, by: User
) -> Work:
    """Write a row that asks for a kept file to be read; a small one is read at once. Raises Implausible (it is gone)"""
    try:
        with default_storage.open(arguments["file"]) as kept:
            is_small = kept.size <= SMALL_BYTES
    except FileNotFoundError as gone:
        raise Implausible(_GONE) from gone
    with transaction.atomic():
        work = works.note(job, kind, arguments, by=by)
        is_small = is_small and _unpacked(arguments["file"]) <= SMALL_UNPACKED
        if not is_small:
            works.deliver(work.id)
    if is_small:
        _read_now(work, read)
    return work


def _read_now(work: Work, read: Callable[[Work, Tell], dict[str, Any]]) -> None:
    """Read while the sender waits; what goes wrong here stands on the row as it would in the background."""
    taken = works.take(work.id)
    if taken is None:
        return
    try:
        result = read(taken, lambda step, done=0, total=0: None)
    except Lost:
        return
    except Refusal as refusal:
        works.fail(taken, refusal.message)
    else:
        works.finish(taken, result)


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


def _fault_of(size: int, suffix: str, suffixes: Sequence[str], most: int) -> str:
    if suffix not in suffixes:
        return f"A file that ends in “{suffix}” is not read." if suffix else "The file’s name has no ending."
    if not size:
        return "The file is empty."
    return "" if size <= most else f"The file has more than {most // 1_000_000} MB; split it."


def _digest(file: "File[bytes]") -> str:
    digest = sha256()
    for piece in file.chunks():
        digest.update(piece)
    return digest.hexdigest()


def _unpacked(name: str) -> int:
    """How much an archive says that it holds; nothing where it is none, which the check then says."""
    with default_storage.open(name) as kept:
        try:
            with zipfile.ZipFile(kept) as archive:
                return sum(entry.file_size for entry in archive.infolist())
        except (zipfile.BadZipFile, OSError, ValueError):
            return 0
