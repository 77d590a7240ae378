"""The journal: every version of every row of a job, in one chain of hashes."""

import hashlib
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime

from django.db import models, transaction

from records import bulk
from records.canonical import FORM, canonical, dump
from records.models import Job, JournalEntry, JournalHead, User

ALGORITHM = "sha256"
FIRST = "0" * 64


def append(rows: Iterable[models.Model], *, job: Job, by: User | None, at: datetime, reason: str = "") -> None:
    """Append the present form of each row to the job's journal.

    Must run in the transaction that wrote the rows, as its last deed: the head is locked here, last and briefly, so
    that writers do their own work side by side.
    """
    forms = [(kind_of(row), row.pk.hex, canonical(row)) for row in rows]
    if not forms:
        return
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("the journal is written in the transaction that writes the rows")
    head = JournalHead.objects.select_for_update().get(job=job)
    entries = _chain(forms, head, by=by, at=at, reason=reason)
    bulk.insert(entries)
    head.number, head.hash = entries[-1].number, entries[-1].hash
    head.save(update_fields=["number", "hash"])


def open_journal(job: Job) -> None:
    """Give a new job its head."""
    JournalHead.objects.get_or_create(job=job, defaults={"number": 0, "hash": FIRST})


def head_of(job: Job) -> str:
    """Return the head as it is printed, number:hash."""
    head = JournalHead.objects.get(job=job)
    return f"{head.number}:{head.hash}"


def kind_of(row: models.Model) -> str:
    """Return the word by which the journal knows a row's model."""
    return str(row._meta.model_name)


def entry_hash(entry: JournalEntry) -> str:
    """Return the hash that an entry must have, from everything it says and the hash before it."""
    said = [
        entry.job_id.hex,
        entry.number,
        entry.previous,
        entry.kind,
        entry.subject,
        entry.form,
        entry.written_at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ"),
        entry.written_by_id,
        entry.reason,
        entry.payload,
    ]
    return hashlib.new(entry.algorithm, dump(said).encode()).hexdigest()


def _chain(
    forms: Sequence[tuple[str, str, str]], head: JournalHead, *, by: User | None, at: datetime, reason: str
) -> list[JournalEntry]:
    entries = []
    number, previous = head.number, head.hash
    for kind, subject, payload in forms:
        number += 1
        entry = JournalEntry(
            job_id=head.job_id,
            number=number,
            kind=kind,
            subject=subject,
            payload=payload,
            form=FORM,
            algorithm=ALGORITHM,
            previous=previous,
            written_at=at,
            written_by=by,
            reason=reason,
        )
        entry.hash = previous = entry_hash(entry)
        entries.append(entry)
    return entries
