"""Override findings: an authorised person's written decision to go on."""

from collections.abc import Iterable, Sequence

from django.db import transaction

from records.locking import lock_joints
from records.models import Finding, Job, Override, User
from records.permissions import require
from records.recording import record
from records.refusals import Fault, Implausible
from records.retrying import retried
from rules.codes import CODES
from rules.points import CODE as POINT_OPEN


@retried
def override_findings(drafts: Sequence[Override], *, job: Job, by: User, as_recorded: bool = False) -> list[Override]:
    """Record overrides, each of one finding code on one attempt; a draft sent again returns the stored record.

    drafts       each with the id made on the device, joint, attempt, code, day, by and reason
    as_recorded  a decision given on paper before: it is recorded, whatever the findings are by now
    Raises       NotAllowed (role), RecordClash (an id used for other content), Implausible (no reason, or no such
                 finding stands: a decision on what nobody has seen yet is none)
    """
    require(by, job, "override")
    with transaction.atomic():
        if not as_recorded:
            _refuse_settled(drafts, job)
        return record(drafts, job=job, by=by, verb="override", check=faults)


def faults(draft: Override) -> Iterable[Fault]:
    """Yield what a written decision can lack."""
    if not draft.reason.strip():
        yield Fault("reason", "An override needs its reason in writing.", "why the joint may go on")
    if draft.code not in CODES:
        yield Fault("code", f"{draft.code!r} is no code of a finding.", ", ".join(CODES))
    if draft.code == POINT_OPEN:
        yield Fault("code", "A point is not overridden: the owner's inspector waives it.", "a waiver by the owner")


def _refuse_settled(drafts: Sequence[Override], job: Job) -> None:
    stored = set(Override.objects.filter(id__in=[draft.id for draft in drafts]).values_list("id", flat=True))
    fresh = [draft for draft in drafts if draft.id not in stored and draft.code in CODES]
    lock_joints(job, {draft.joint_id for draft in fresh})
    rows = Finding.objects.filter(job=job, joint_id__in=[draft.joint_id for draft in fresh])
    stand = set(rows.values_list("joint_id", "attempt", "code"))
    for draft in fresh:
        if (draft.joint_id, draft.attempt, draft.code) not in stand:
            told = f"No finding {draft.code} stands on attempt {draft.attempt} of this joint"
            raise Implausible(
                f"{told}; there is nothing to override.",
                [Fault("code", "No such finding stands; it may have been settled since the page was shown.")],
            )
