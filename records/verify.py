"""Prove the journal: hash the raw rows again and hold every record against its entry."""

import json
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import models
from django.db.models import Max

from records.canonical import FORMS, dump, plain, readers
from records.epochs import KIND as EPOCH
from records.epochs import epochs_of, said
from records.journal import ALGORITHM, FIRST, entry_hash
from records.models import MASTERS, RECORDS, Job, JournalEntry, JournalHead, Membership
from records.snapshot import snapshot

CHUNK = 2000
KINDS: dict[str, type[models.Model]] = {
    str(model._meta.model_name): model for model in (*RECORDS, *MASTERS, Job, Membership)
}


@dataclass(frozen=True, slots=True)
class Bad:
    """The first thing that is not as it was written."""

    number: int
    message: str


def first_bad(job: Job, *, head: str = "") -> Bad | None:
    """Return the first fault of a job's journal, or None where every row is as it was written.

    head  number:hash from outside (a printed package or release); without it a chain that was rewritten whole, or
          whose tail was cut, can't be told from a good one
    Everything is read at one moment, so that those who record meanwhile raise no false alarm.
    Raises ValueError for a head that is not number:hash. Memory is flat; two queries a kind for each 2,000 entries.
    """
    wanted = _parsed(head)
    with snapshot():
        return _first_bad(job, wanted)


def _first_bad(job: Job, wanted: tuple[int, str]) -> Bad | None:
    previous, expected = FIRST, 1
    for entries in _chunks(job):
        for entry in entries:
            fault = _broken_link(entry, expected, previous)
            if fault:
                return Bad(entry.number, fault)
            if entry.number == wanted[0] and entry.hash != wanted[1]:
                told = f"entry {entry.number} does not carry the hash of the head given"
                return Bad(entry.number, told + _lost_with(job, wanted[0]))
            previous, expected = entry.hash, expected + 1
        fault_at = _changed_row(job, entries)
        if fault_at:
            return fault_at
    return _cut(job, expected - 1, previous, wanted[0]) or _unwritten(job)


def _parsed(head: str) -> tuple[int, str]:
    if not head:
        return 0, ""
    number, separator, digest = head.strip().partition(":")
    if not separator or not number.isdigit() or len(digest) != 64:
        raise ValueError(f"The head {head!r} is not NUMBER:HASH with a hash of 64 characters, as packages print it.")
    return int(number), digest


def _chunks(job: Job) -> Iterator[list[JournalEntry]]:
    last = 0
    while rows := list(JournalEntry.objects.filter(job=job, number__gt=last).order_by("number")[:CHUNK]):
        yield rows
        last = rows[-1].number


def _broken_link(entry: JournalEntry, expected: int, previous: str) -> str:
    if entry.number != expected:
        return f"entry {expected} is missing (the next is {entry.number})"
    if entry.previous != previous:
        return f"entry {entry.number} does not follow the entry before it"
    if entry.algorithm != ALGORITHM or entry.form not in FORMS:
        return f"entry {entry.number} names a hash or a form that this program never wrote"
    if entry_hash(entry) != entry.hash:
        return f"entry {entry.number} was changed: its hash is not that of its content"
    return ""


def _changed_row(job: Job, entries: list[JournalEntry]) -> Bad | None:
    by_kind: dict[str, list[JournalEntry]] = defaultdict(list)
    for entry in entries:
        by_kind[entry.kind].append(entry)
    faults = [fault for kind, group in by_kind.items() if (fault := _changed_of_kind(job, kind, group))]
    return min(faults, key=lambda fault: fault.number, default=None)


def _changed_of_kind(job: Job, kind: str, entries: list[JournalEntry]) -> Bad | None:
    if kind == EPOCH:
        return _bad_epoch(job, entries)
    model = KINDS.get(kind)
    if model is None:
        return Bad(entries[0].number, f"entry {entries[0].number} speaks of an unknown kind, {kind}")
    # A record is as its every entry says: an entry added later does not excuse a change. A master row is as its last.
    standing = entries if model in RECORDS else _latest(job, kind, entries)
    rows, unreadable = _rows(model, [entry.subject for entry in standing])
    for entry in standing:
        row = rows.get(entry.subject)
        if row is None:
            why = "can't be read any more" if entry.subject in unreadable else "is gone"
            return Bad(entry.number, f"entry {entry.number}: the {kind} {entry.subject} {why}")
        changed = differing_column(row, entry.payload)
        if changed:
            return Bad(entry.number, f"entry {entry.number}: the {kind} {entry.subject} was changed ({changed})")
        if model is not Job and row.job_id != job.pk:  # type: ignore[attr-defined]
            return Bad(entry.number, f"entry {entry.number}: the {kind} {entry.subject} belongs to another job")
    return None


def _bad_epoch(job: Job, entries: list[JournalEntry]) -> Bad | None:
    """An epoch's entry is no row: it must name its own place in the chain."""
    places = {one.number: one.epoch for one in epochs_of(job)}
    for entry in entries:
        epoch = places.get(entry.number)
        if epoch is None or entry.payload != said(epoch, entry.number - 1, entry.previous):
            return Bad(entry.number, f"entry {entry.number} begins an epoch that does not follow the entry before it")
    return None


def _lost_with(job: Job, wanted: int) -> str:
    """What a restore explains of a head that does not fit: it may have been printed in the time that was lost."""
    epochs = [one for one in epochs_of(job) if one.number <= wanted + 1]
    return f"; a head printed between the backup and its restore was lost with it ({epochs[-1]})" if epochs else ""


def _latest(job: Job, kind: str, entries: list[JournalEntry]) -> list[JournalEntry]:
    """Those of the entries that no later one of the job's journal follows."""
    later = JournalEntry.objects.filter(job=job, kind=kind, subject__in={entry.subject for entry in entries})
    latest = dict(later.values_list("subject").annotate(Max("number")))
    return [entry for entry in entries if latest[entry.subject] == entry.number]


def _rows(model: type[models.Model], ids: list[str]) -> tuple[dict[str, models.Model], set[str]]:
    """Read rows whole, and one by one where a tampered value can't even be converted."""
    try:
        return {pk.hex: row for pk, row in model._default_manager.in_bulk(ids).items()}, set()
    except (ArithmeticError, ValueError, TypeError):
        rows: dict[str, models.Model] = {}
        unreadable = set()
        for one in ids:
            try:
                rows |= {pk.hex: row for pk, row in model._default_manager.in_bulk([one]).items()}
            except (ArithmeticError, ValueError, TypeError):
                unreadable.add(one)
        return rows, unreadable


def differing_column(row: models.Model, payload: str) -> str:
    """Return the first column in which a row differs from its canonical form, or an empty text.

    A column that a later migration added is not in older forms; there it must hold its default.
    """
    written = json.loads(payload)
    for name, read in readers(type(row)):
        value = plain(read(row))
        if name in written:
            if dump(value) != dump(written[name]):
                return name
        elif dump(value) != dump(plain(row._meta.get_field(name).get_default())):  # type: ignore[union-attr]
            return name
    return ""


def _cut(job: Job, last: int, last_hash: str, wanted: int) -> Bad | None:
    head = JournalHead.objects.filter(job=job).first()
    if head is None or (head.number, head.hash) != (last, last_hash):
        return Bad(last + 1, f"the journal ends at entry {last}, but its head says otherwise")
    if wanted > last:
        told = f"entry {last + 1} is missing: the journal ends at {last}, the head given is {wanted}"
        return Bad(last + 1, told + _lost_with(job, wanted))
    return None


def _unwritten(job: Job) -> Bad | None:
    """A row that no entry speaks of was slipped in."""
    for kind, model in KINDS.items():
        mine = {"pk": job.pk} if model is Job else {"job": job}
        ids: list[str] = []
        for key in model._default_manager.filter(**mine).values_list("pk", flat=True).iterator(chunk_size=CHUNK):
            ids.append(key.hex)
            if len(ids) == CHUNK:
                if fault := _first_unwritten(job, kind, ids):
                    return fault
                ids = []
        if fault := _first_unwritten(job, kind, ids):
            return fault
    return None


def _first_unwritten(job: Job, kind: str, ids: list[str]) -> Bad | None:
    known = set(JournalEntry.objects.filter(job=job, kind=kind, subject__in=ids).values_list("subject", flat=True))
    for one in ids:
        if one not in known:
            return Bad(0, f"the {kind} {one} has no entry in the journal")
    return None
