"""The files that the journal names, held against the sums that stand in its entries."""

import hashlib
import json
from collections.abc import Iterator
from typing import Any

from django.core.files.storage import default_storage

from records.models import Job, JournalEntry

# The columns of a row that name a file, each with the one that holds the SHA-256 of its bytes.
ATTACHED = {
    "attachment": (("file", "sha256"),),
    "certificate": (("file", "sha256"),),
    "sheetdrawing": (("file", "sha256"),),
    "package": (("file", "sha256"), ("manifest", "manifest_sha256")),
}
PIECE = 1 << 20


def bad_files(job: Job) -> Iterator[tuple[int, str]]:
    """Yield (entry, what is wrong) for each file that is gone or no longer what an entry says it was.

    Every version counts: a certificate that was replaced still lies in the storage. Each file is read once, in pieces.
    A package of before manifests had their sum in the journal has its manifest only looked for.
    """
    seen: set[tuple[str, str]] = set()
    entries = JournalEntry.objects.filter(job=job, kind__in=ATTACHED).order_by("number")
    for number, kind, payload in entries.values_list("number", "kind", "payload").iterator():
        said: dict[str, Any] = json.loads(payload)
        for of_name, of_sum in ATTACHED[kind]:
            name, expected = said.get(of_name) or "", said.get(of_sum) or ""
            if name and (name, expected) not in seen:
                seen.add((name, expected))
                if fault := _fault(name, expected):
                    yield number, f"entry {number}: the {of_name} {name} of the {kind} {_called(kind, said)} {fault}"


def _called(kind: str, said: dict[str, Any]) -> str:
    return str(said["number"] if kind == "certificate" else said["id"])


def _fault(name: str, expected: str) -> str:
    try:
        with default_storage.open(name) as stream:
            digest = hashlib.sha256()
            while piece := stream.read(PIECE):
                digest.update(piece)
    except FileNotFoundError:
        return "is gone from the storage"
    except OSError as error:
        return f"can't be read ({error.strerror or error})"
    return "was changed: its SHA-256 is not the one in the journal" if expected not in ("", digest.hexdigest()) else ""
