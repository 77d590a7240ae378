"""Withdraw records that were made in error, or joints that are no more, by records that say so."""

from collections.abc import Sequence
from uuid import UUID

from django.apps import apps
from django.db import models, transaction
from django.utils import timezone

from joints.queries.joints_of_uses import joints_of_uses
from records import journal
from records.insert import insert_once
from records.locking import lock_joints, lock_plan, lock_welders, stamps_on
from records.models import Attendance, Job, Pass, User, Withdrawal
from records.models.decision import ON_JOINTS
from records.permissions import require
from records.refresh import refresh
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried
from rules.points import NOTIFIED

ATTENDANCE = "attendance"
# What an inspector signed is withdrawn only by somebody who may sign it.
SIGNED = {
    "examination": "examine", "repairdecision": "decide repair", "release": "release", "override": "override",
    "pick": "choose samples",
}  # fmt: skip


@retried
def withdraw_records(
    drafts: Sequence[Withdrawal], *, job: Job, by: User, as_recorded: bool = False
) -> list[Withdrawal]:
    """Withdraw records; a draft sent again returns the stored withdrawal.

    drafts       each with the id made on the device, joint, kind (the record's model name), record (its id) and reason
    as_recorded  withdrawn on paper before, or come in by an import: whoever plans the job types it in
    Raises       NotAllowed, Implausible (no reason, unknown record), RecordClash (already withdrawn, or corrected)
    """
    for verb in _verbs(drafts, as_recorded=as_recorded):
        require(by, job, verb)
    for draft in drafts:
        _check(draft, job)
    with transaction.atomic():
        at = timezone.now()
        # Whoever corrects or withdraws the same record meanwhile waits, or is waited for.
        joint_ids = {draft.joint_id for draft in drafts if draft.joint_id}
        lock_plan(job)
        lock_welders(job, stamps_on(joint_ids))
        lock_joints(job, joint_ids)
        refuse_gone(drafts)
        stored, new = insert_once(drafts, job=job, by=by, at=at)
        if new:
            refresh(job, {row.joint_id for row in new if row.joint_id} | _lapsed_by(job, new))
            journal.append(new, job=job, by=by, at=at)
    return stored


def _verbs(drafts: Sequence[Withdrawal], *, as_recorded: bool) -> list[str]:
    """What it takes: what the owner recorded, the owner takes back."""
    verbs = {"withdraw"} if any(draft.kind != ATTENDANCE for draft in drafts) or not drafts else set()
    verbs |= {SIGNED[draft.kind] for draft in drafts if draft.kind in SIGNED}
    of_owner = [draft.record for draft in drafts if draft.kind == ATTENDANCE]
    if of_owner and as_recorded:
        verbs.add("plan")
    elif of_owner:
        results = Attendance.objects.filter(id__in=of_owner).values_list("result", flat=True).distinct()
        verbs |= {attendance_verb(result) for result in results} or {"attend"}
    return sorted(verbs)


def attendance_verb(result: str) -> str:
    """What it takes to record that a point was attended or waived, or that the owner was told of it."""
    return "notify owner" if result == NOTIFIED else "attend"


def model_of(kind: str) -> type[models.Model]:
    """Return the model of a withdrawable kind."""
    return apps.get_model("records", kind)


def _check(draft: Withdrawal, job: Job) -> None:
    if draft.kind not in ON_JOINTS:
        told = f"A {draft.kind} can't be withdrawn on a joint."
        raise Implausible(told, [Fault("kind", "Unknown kind.", ", ".join(ON_JOINTS))])
    if not draft.reason.strip():
        raise Implausible("A withdrawal needs its reason.", [Fault("reason", "Write why.", "a few words")])
    place = {"id": draft.joint_id} if draft.kind == "joint" else {"joint_id": draft.joint_id}
    if not model_of(draft.kind)._default_manager.filter(pk=draft.record, job=job, **place).exists():
        raise Implausible("The record to withdraw is not on this joint.", [Fault("record", "Unknown record.")])


def refuse_gone(drafts: Sequence[Withdrawal]) -> None:
    """Refuse what another withdrawal took, or what a correction replaced; one that is stored already stands."""
    stored = set(Withdrawal.objects.filter(id__in=[draft.id for draft in drafts]).values_list("id", flat=True))
    fresh = [draft for draft in drafts if draft.id not in stored]
    if Withdrawal.objects.filter(record__in=[draft.record for draft in fresh]).exists():
        raise RecordClash("This record was already withdrawn.")
    for kind in {draft.kind for draft in fresh} - {"joint"}:
        records = [draft.record for draft in fresh if draft.kind == kind]
        if model_of(kind)._default_manager.filter(replaces__in=records).exists():
            raise RecordClash("This record was already corrected; withdraw the newer record instead.")


def _lapsed_by(job: Job, new: Sequence[Withdrawal]) -> set[UUID]:
    """A pass that counts no more may have been what kept its welder's qualification alive."""
    passes = [row.record for row in new if row.kind == "pass"]
    return joints_of_uses(job, gone=list(Pass.objects.filter(id__in=passes))) if passes else set()
