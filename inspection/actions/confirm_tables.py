"""Confirm tables against the contract's own copy of the standard."""

from collections.abc import Sequence

from django.db import transaction
from django.utils import timezone

from inspection.actions.judge_released import judge_released
from records import journal
from records.gathering import gathered
from records.insert import insert_once
from records.locking import lock_plan
from records.models import Confirmation, Job, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def confirm_tables(drafts: Sequence[Confirmation], *, job: Job, by: User) -> list[Confirmation]:
    """Record confirmations; a draft sent again returns the stored record.

    drafts  each with the id made on the device, table, edition, day and by
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (no edition)
    """
    require(by, job, "confirm")
    for draft in drafts:
        if not draft.edition.strip():
            raise Implausible("Which edition was read is missing.", [Fault("edition", "Missing.", "the edition")])
    with transaction.atomic():
        if gathered() is None:
            lock_plan(job, changes=job.confirmation_demanded)
        at = timezone.now()
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new and job.confirmation_demanded:
            judge_released(job, by=by)
        journal.append(new, job=job, by=by, at=at)
    return stored
