"""Override findings: an authorised person's written decision to go on."""

from collections.abc import Iterable, Sequence

from records.models import Job, Override, User
from records.recording import record
from records.refusals import Fault
from rules.codes import CODES


def override_findings(drafts: Sequence[Override], *, job: Job, by: User) -> list[Override]:
    """Record overrides, each of one finding code on one attempt; a draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, attempt, code, day, by and reason
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (no reason)
    """
    return record(drafts, job=job, by=by, verb="override", check=faults)


def faults(draft: Override) -> Iterable[Fault]:
    """Yield what a written decision can lack."""
    if not draft.reason.strip():
        yield Fault("reason", "An override needs its reason in writing.", "why the joint may go on")
    if draft.code not in CODES:
        yield Fault("code", f"{draft.code!r} is no code of a finding.", ", ".join(CODES))
