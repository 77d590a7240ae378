"""The journal: every version of every row of a job, in one chain of hashes."""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from django.db import models, transaction

from records import bulk
from records.canonical import FORM, canonical, dump
from records.gathering import gathered
from records.models import Job, JournalEntry, JournalHead, User

ALGORITHM = "sha256"
FIRST = "0" * 64
CHUNK = 20_000


@dataclass(frozen=True, slots=True)
class Form:
    """What one entry will say, before it has its place in the chain."""

    kind: str
    subject: str
    payload: str
    by: User | None
    at: datetime
    reason: str


def append(rows: Iterable[models.Model], *, job: Job, by: User | None, at: datetime, reason: str = "") -> None:
    """Append the present form of each row to the job's journal.

    Must run in the transaction that wrote the rows, as its last deed: the head is locked here, last and briefly, so
    that writers do their own work side by side.
    """
    forms = [Form(kind_of(row), row.pk.hex, canonical(row), by, at, reason) for row in rows]
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("the journal is written in the transaction that writes the rows")
    batch = gathered()
    if batch is None:
        write_entries(job, forms)
    else:
        batch.forms.extend(forms)


def write_entries(job: Job, forms: Sequence[Form]) -> None:
    """Chain the forms to the head and move it; the lock is taken here."""
    if not forms:
        return
    head = JournalHead.objects.select_for_update(no_key=True).get(job=job)
    for start in range(0, len(forms), CHUNK):
        entries = _chain(forms[start : start + CHUNK], head)
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


def _chain(forms: Sequence[Form], head: JournalHead) -> list[JournalEntry]:
    entries = []
    number, previous = head.number, head.hash
    for form in forms:
        number += 1
        entry = JournalEntry(
            job_id=head.job_id,
            number=number,
            kind=form.kind,
            subject=form.subject,
            payload=form.payload,
            form=FORM,
            algorithm=ALGORITHM,
            previous=previous,
            written_at=form.at,
            written_by=form.by,
            reason=form.reason,
        )
        entry.hash = previous = entry_hash(entry)
        entries.append(entry)
    return entries
