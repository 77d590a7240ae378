"""Withdraw records that were made in error, or joints that are no more, by records that say so."""

from collections.abc import Sequence
from uuid import UUID

from django.apps import apps
from django.db import models, transaction
from django.utils import timezone

from records import journal
from records.insert import insert_once
from records.models import Job, User, Withdrawal
from records.models.decision import WITHDRAWABLE
from records.permissions import require
from records.refresh import refresh
from records.refusals import Fault, Implausible, RecordClash


def withdraw_records(drafts: Sequence[Withdrawal], *, job: Job, by: User) -> list[Withdrawal]:
    """Withdraw records; a draft sent again returns the stored withdrawal.

    drafts  each with the id made on the device, joint, kind (the record's model name), record (its id) and reason
    Raises  NotAllowed, Implausible (no reason, unknown record), RecordClash (already withdrawn by another)
    """
    require(by, job, "withdraw")
    for draft in drafts:
        _check(draft, job)
    with transaction.atomic():
        at = timezone.now()
        already = _already(drafts)
        if already:
            raise RecordClash("This record was already withdrawn.")
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        refresh(job, {row.joint_id for row in new})
        journal.append(new, job=job, by=by, at=at)
    return stored


def model_of(kind: str) -> type[models.Model]:
    """Return the model of a withdrawable kind. Raises Implausible for any other word."""
    if kind not in WITHDRAWABLE:
        raise Implausible(f"A {kind} can't be withdrawn.", [Fault("kind", "Unknown kind.", ", ".join(WITHDRAWABLE))])
    return apps.get_model("records", kind)


def _check(draft: Withdrawal, job: Job) -> None:
    if not draft.reason.strip():
        raise Implausible("A withdrawal needs its reason.", [Fault("reason", "Write why.", "a few words")])
    place = {"id": draft.joint_id} if draft.kind == "joint" else {"joint_id": draft.joint_id}
    if not model_of(draft.kind)._default_manager.filter(pk=draft.record, job=job, **place).exists():
        raise Implausible("The record to withdraw is not on this joint.", [Fault("record", "Unknown record.")])


def _already(drafts: Sequence[Withdrawal]) -> set[UUID]:
    taken = Withdrawal.objects.filter(record__in=[draft.record for draft in drafts])
    return set(taken.exclude(id__in=[draft.id for draft in drafts]).values_list("record", flat=True))
