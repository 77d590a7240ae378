"""Withdraw confirmations: by a record that takes the place of each and says why."""

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
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried


@retried
def withdraw_confirmations(drafts: Sequence[Confirmation], *, job: Job, by: User) -> list[Confirmation]:
    """Record that confirmations hold no more; a draft sent again returns the stored record.

    drafts  each with the id made on the device, what it replaces, day, by and the reason
    Raises  NotAllowed, Implausible (no reason, no such confirmation on this job), RecordClash (withdrawn already)
    """
    require(by, job, "confirm")
    with transaction.atomic():
        if gathered() is None:
            lock_plan(job, changes=job.confirmation_demanded)
        before = Confirmation.objects.filter(job=job).in_bulk([draft.replaces_id for draft in drafts])
        for draft in drafts:
            _refuse(draft, before.get(draft.replaces_id) if draft.replaces_id else None)
        at = timezone.now()
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new and job.confirmation_demanded:
            judge_released(job, by=by)
        journal.append(new, job=job, by=by, at=at)
    return stored


def _refuse(draft: Confirmation, before: Confirmation | None) -> None:
    if before is None:
        raise Implausible("There is no such confirmation on this job.", [Fault("replaces", "Unknown confirmation.")])
    if before.is_withdrawn:
        raise RecordClash("This confirmation was withdrawn already.")
    if not draft.reason.strip():
        raise Implausible.of(Fault("reason", "Say why it is withdrawn.", "a few words"))
    draft.table, draft.row, draft.edition = before.table, before.row, before.edition
    draft.is_withdrawn = True
