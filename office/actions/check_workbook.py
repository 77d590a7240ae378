"""Check a workbook that was sent in: keep the file, find every fault and every change, and write nothing."""

import json
from collections.abc import Iterable
from dataclasses import asdict
from hashlib import sha256
from typing import Any

from django.core.files import File
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from office.actions.sent_file import FOLDER, asked, kept_upload, local_copy
from office.importing.archive import Unreadable
from office.importing.cells_of import fill_values
from office.importing.faults import CellFault, gathered
from office.importing.own_names import OwnNames
from office.importing.sources import MOST_BYTES, SUFFIXES
from office.importing.workbook import Manner, Outcome, import_in_manner
from office.queries.imports import CHECK, all_faults
from office.queries.own_names import guesses_of, names_of, names_said
from records.models import Job, User, Work
from records.permissions import require
from records.work import Tell

KIND = CHECK
ACCEPTED = f"an .xlsx or .ods workbook, a .csv file, or a .zip of them, of at most {MOST_BYTES // 1_000_000} MB"
MOST_NOTICES = 100
# What a file is, as its check, its application and a check anew all name it.
KEPT = ("file", "name", "sha256", "names")


def ask_check(upload: "File[bytes]", name: str, *, job: Job, by: User) -> Work:
    """Keep a file that was sent in and write a row that asks for its check; a small one is checked at once.

    Raises NotAllowed, Implausible (no file, an ending that is not accepted, empty, too large)
    """
    require(by, job, "plan")
    said = kept_upload(upload, name, SUFFIXES, MOST_BYTES, ACCEPTED)
    return asked(KIND, check_asked, said | _named(names_said(job)), job=job, by=by)


def ask_again(check: Work, *, by: User, names: OwnNames | None = None) -> Work:
    """Check the file of an earlier check once more.

    names   what its own sheets and headings mean, remembered for the job; None where that stays as it was
    Raises  NotAllowed, Implausible (the file is gone)
    """
    require(by, check.job, "plan")
    said = {name: check.arguments[name] for name in KEPT if name in check.arguments}
    if names is not None:
        said |= _named(names) | {"said": names.keep()}
    return asked(KIND, check_asked, said, job=check.job, by=by)


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


def _named(names: OwnNames) -> dict[str, Any]:
    return {"names": names.keep()} if names.sheets else {}


def _result(work: Work, outcome: Outcome) -> dict[str, Any]:
    """What the row keeps: counts and first rows; the long lists stand in files beside the upload."""
    faults = ({**asdict(one), "cell": one.cell} for one in outcome.places)
    alike = gathered(outcome.places)
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
        "alike": len(alike),
        "alike_file": _kept(work, "alike", (asdict(one) for one in alike)),
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
    name = f"{FOLDER}/{work.id.hex}-{work.tries}-{what}.jsonl"
    return default_storage.save(name, ContentFile("\n".join(lines).encode()))
