"""The journal: every version of every row of a job, in one chain of hashes."""

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from json.encoder import encode_basestring
from typing import Any, NamedTuple

from django.db import models, transaction

from records import bulk, outbox
from records.canonical import FORM, canonicals, time_text
from records.gathering import Gathered, gathered
from records.meanwhile import is_behind
from records.models import Job, JournalEntry, JournalHead, User
from records.texts import values

ALGORITHM = "sha256"
FIRST = "0" * 64
CHUNK = 10_000
COLUMNS = (
    "job_id", "number", "kind", "subject", "payload", "form", "algorithm", "previous", "hash", "written_at",
    "written_by_id", "reason",
)  # fmt: skip


class Form(NamedTuple):
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
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("the journal is written in the transaction that writes the rows")
    rows, batch = list(rows), gathered()
    if batch is None:
        write_entries(job, _forms(rows, by, at, reason))
    else:
        if not is_behind():
            bulk.check_references(len(rows))
        batch.forms += _forms(rows, by, at, reason) if batch.lasts else ()
        if batch.head and len(batch.forms) >= CHUNK:
            _let_go(job, batch)


def write_gathered(job: Job, batch: Gathered) -> None:
    """Write what is left of what a batch has gathered for the journal, and move the head."""
    _let_go(job, batch)
    if batch.head:
        batch.head.save(update_fields=["number", "hash"])


def _let_go(job: Job, batch: Gathered) -> None:
    if batch.forms:
        batch.head = batch.head or locked_head(job)
        _write(job, batch.forms, batch.head)
        batch.entries += len(batch.forms)
        batch.forms.clear()


def _forms(rows: Sequence[models.Model], by: User | None, at: datetime, reason: str) -> list[Form]:
    return [
        Form(kind_of(row), key.hex, payload, by, at, reason)
        for row, key, payload in zip(rows, values(rows, "id"), canonicals(rows), strict=True)
    ]


def write_entries(job: Job, forms: Sequence[Form]) -> None:
    """Chain the forms to the head and move it; the lock is taken here."""
    if forms:
        head = locked_head(job)
        _write(job, forms, head)
        head.save(update_fields=["number", "hash"])


def _write(job: Job, forms: Sequence[Form], head: JournalHead) -> None:
    for start in range(0, len(forms), CHUNK):
        some, first = forms[start : start + CHUNK], head.number + 1
        bulk.insert_values(JournalEntry, COLUMNS, _chained(some, head), len(some))
        outbox.note_entries(
            job, ((one.kind, one.subject, one.payload, first + place) for place, one in enumerate(some))
        )


def locked_head(job: Job) -> JournalHead:
    """The head, which nobody else moves until the transaction ends."""
    return JournalHead.objects.select_for_update(no_key=True).get(job=job)


def open_journal(job: Job) -> None:
    """Give a new job its head, which nobody else sees until the transaction ends."""
    head, _ = JournalHead.objects.get_or_create(job=job, defaults={"number": 0, "hash": FIRST})
    batch = gathered()
    if batch is not None and batch.opens_job:
        batch.head = head


def head_of(job: Job) -> str:
    """Return the head as it is printed, number:hash."""
    head = JournalHead.objects.get(job=job)
    return f"{head.number}:{head.hash}"


def kind_of(row: models.Model) -> str:
    """Return the word by which the journal knows a row's model."""
    return str(row._meta.model_name)


def entry_hash(entry: JournalEntry) -> str:
    """Return the hash that an entry must have, from everything it says and the hash before it."""
    form = Form(entry.kind, entry.subject, entry.payload, None, entry.written_at, entry.reason)
    said = _said(form, entry.form, entry.written_by_id)
    return _hash(entry.algorithm, entry.job_id.hex, entry.number, entry.previous, said)


def _said(form: Form, version: int, by_id: int | None) -> str:
    """What an entry says apart from its place in the chain, as the end of a canonical list."""
    by = "null" if by_id is None else by_id
    reason, payload = encode_basestring(form.reason), encode_basestring(form.payload)
    return f'"{form.kind}","{form.subject}",{version},"{time_text(form.at)}",{by},{reason},{payload}]'


def _hash(algorithm: str, job: str, number: int, previous: str, said: str) -> str:
    """The hash of the canonical list of job, number, previous hash, and what is said."""
    text = f'["{job}",{number},"{previous}",{said}'.encode()
    # By name it costs twice as much, which a hundred thousand entries feel.
    return (hashlib.sha256(text) if algorithm == ALGORITHM else hashlib.new(algorithm, text)).hexdigest()


def _chained(forms: Sequence[Form], head: JournalHead) -> Iterator[tuple[Any, ...]]:
    """Yield the entries as values of COLUMNS, and move the head with each."""
    job = head.job_id.hex
    for form in forms:
        number, previous, by_id = head.number + 1, head.hash, form.by.pk if form.by else None
        now = _hash(ALGORITHM, job, number, previous, _said(form, FORM, by_id))
        head.number, head.hash = number, now
        yield (
            head.job_id, number, form.kind, form.subject, form.payload, FORM, ALGORITHM, previous, now, form.at, by_id,
            form.reason,
        )  # fmt: skip
