"""Epochs of a journal: a restore from a backup begins a new one, with an entry that says so."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.utils import timezone

from records.canonical import dump
from records.journal import Form, write_entries
from records.models import Job, JournalEntry, JournalHead, User
from records.refusals import Fault, Implausible

KIND = "epoch"


@dataclass(frozen=True, slots=True)
class Epoch:
    """One epoch that a restore began: its number (the first is that of the job itself), its entry, when and why."""

    epoch: int
    number: int
    begun_at: datetime
    reason: str

    def __str__(self) -> str:
        day = f"{self.begun_at:%Y-%m-%d %H:%M} UTC"
        return f"epoch {self.epoch} began at entry {self.number} on {day}: {self.reason}"


@transaction.atomic
def begin_epoch(job: Job, *, by: User | None, reason: str) -> Epoch:
    """Write the entry that says the job was brought back from a backup that ended at the journal's present head.

    Raises Implausible without a reason
    """
    if not reason.strip():
        told = "A new epoch needs its reason."
        raise Implausible.of(Fault("reason", told, "why the backup was brought back, and of which day it is"))
    head = JournalHead.objects.select_for_update(no_key=True).get(job=job)
    epoch, at = len(epochs_of(job)) + 2, timezone.now()
    write_entries(job, [Form(KIND, job.pk.hex, said(epoch, head.number, head.hash), by, at, reason.strip())])
    return Epoch(epoch, head.number + 1, at, reason.strip())


def epochs_of(job: Job) -> list[Epoch]:
    """Return the epochs that restores began, in order; one query."""
    rows = JournalEntry.objects.filter(kind=KIND, subject=job.pk.hex, job=job).order_by("number")
    found = rows.values_list("number", "written_at", "reason")
    return [Epoch(place, *row) for place, row in enumerate(found, start=2)]


def said(epoch: int, number: int, digest: str) -> str:
    """What the entry of an epoch says: which it is, and the head at which the backup had ended."""
    return dump({"after": f"{number}:{digest}", "epoch": epoch})
