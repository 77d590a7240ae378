"""Take an import back: withdraw every record that it wrote, in one batch, by records that say so."""

from functools import partial
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from joints.actions.withdraw_records import withdraw_records
from joints.actions.withdraw_shop_records import withdraw_shop_records
from office.queries.imports import APPLY, UNDO
from office.queries.undoing import Undoable, undo_of, undoable
from records import journal
from records import work as works
from records.batch import together
from records.models import Job, User, Withdrawal, Work
from records.models.decision import IN_SHOP
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from records.work import Tell

KIND = UNDO
BATCH = 5_000
LONGEST_REASON = 500


@transaction.atomic
def ask_undo(applied: Work, reason: str, *, job: Job, by: User) -> Work:
    """Write a row that takes an import back, and return it at once; asked again, it returns the same row.

    Raises  NotAllowed, Implausible (nothing was written, something was built on it since, or no reason)
    """
    require(by, job, "undo import")
    # Two who press at once wait for each other here.
    done = Work.objects.select_for_update(of=("self",)).select_related("job").get(id=applied.id, job=job, kind=APPLY)
    if before := undo_of(done):
        return before
    if not reason.strip():
        told = "Taking an import back needs its reason."
        raise Implausible.of(Fault("reason", told, "a few words"))
    if done.state != "done" or "head" not in done.result:
        raise Implausible("This import wrote nothing, so there is nothing to take back.")
    _refuse(undoable(done))
    said = {"applied": str(done.id), "name": done.arguments["name"], "reason": reason.strip()[:LONGEST_REASON]}
    return works.ask(job, KIND, said, by=by)


def undo_asked(work: Work, tell: Tell) -> dict[str, Any]:
    """Take back the import of a row; run again, it returns what was taken back.

    Raises Lost where another worker has the row; NotAllowed, Implausible, RecordClash, Busy
    """
    return dict(work.result) if work.result else _undone(work, tell)


@retried
def _undone(work: Work, tell: Tell) -> dict[str, Any]:
    job, by = work.job, work.asked_by
    require(by, job, "undo import")
    applied = Work.objects.select_related("job").get(id=work.arguments["applied"], job=job)
    with transaction.atomic():
        # One import of a job at a time; the records that people make meanwhile are not held up.
        Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        found = undoable(applied)
        _refuse(found)
        with together(job) as left:
            _withdraw(work, found, tell)
            tell("Working out states and findings")
        result = {"counts": found.counted, "head": journal.head_of(job), "entries": left.entries}
        works.keep(work, result)
    return result


def _withdraw(work: Work, found: Undoable, tell: Tell) -> None:
    total, done = sum(map(len, found.taken.values())), 0
    reason = f"import {work.arguments['name']} taken back: {work.arguments['reason']}"
    for kind, rows in found.taken.items():
        act = withdraw_shop_records if kind in IN_SHOP else partial(withdraw_records, as_recorded=True)
        for some in _batches(rows):
            tell("Withdrawing the records", done, total)
            act([_draft(work, kind, *one, reason) for one in some], job=work.job, by=work.asked_by)
            done += len(some)


def _batches(rows: list[tuple[UUID, UUID | None]]) -> list[list[tuple[UUID, UUID | None]]]:
    return [rows[start : start + BATCH] for start in range(0, len(rows), BATCH)]


def _draft(work: Work, kind: str, record: UUID, joint: UUID | None, reason: str) -> Withdrawal:
    """A withdrawal whose key is the same however often the row runs."""
    return Withdrawal(
        id=uuid5(work.id, record.hex), job=work.job, joint_id=joint, kind=kind, record=record, reason=reason
    )


def _refuse(found: Undoable) -> None:
    if found.blocks:
        raise Implausible.of(*(Fault("undo", block) for block in found.blocks))
    if not found.counted:
        raise Implausible("Nothing of this import can be taken back: it wrote no record that still stands.")
