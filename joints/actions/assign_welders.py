"""Assign a welder to joints; one who is not qualified only with a written reason."""

from collections.abc import Sequence

from joints.queries.who_may_weld import reasons_against
from records.models import Assignment, Job, User
from records.permissions import require
from records.recording import record
from records.refusals import Fault, NotQualified


def assign_welders(drafts: Sequence[Assignment], *, job: Job, by: User, as_recorded: bool = False) -> list[Assignment]:
    """Record who is to weld which joint; a draft sent again returns the stored record.

    drafts       each with the id made on the device, joint, stamp and day, and override_reason where the welder may not
    as_recorded  an assignment given on paper before: it is recorded, and the welding itself is judged
    Raises       NotAllowed, Implausible, RecordClash, NotQualified (with every reason, where none was written)
    """
    require(by, job, "assign")
    if not as_recorded:
        _refuse_unreasoned(drafts, job)
    return record(drafts, job=job, by=by, verb="assign", check=lambda draft: ())


def _refuse_unreasoned(drafts: Sequence[Assignment], job: Job) -> None:
    """Refuse welders who may not, where nobody wrote why; one assigned before they lapsed stays assigned."""
    stored = set(Assignment.objects.filter(id__in=[draft.id for draft in drafts]).values_list("id", flat=True))
    fresh = [draft for draft in drafts if draft.id not in stored and not draft.override_reason.strip()]
    against = reasons_against(job, [(draft.joint_id, draft.stamp_id) for draft in fresh])
    if against:
        message = " ".join(dict.fromkeys(reason for reasons in against.values() for reason in reasons))
        raise NotQualified(
            f"{message} Choose another welder, or write why this one should weld it all the same.",
            [Fault("override_reason", message, "a written reason")],
        )
