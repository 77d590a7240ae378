"""Decide what is done about rejected joints: repair, or cut out and weld anew."""

from collections.abc import Iterable, Sequence

from records.models import Job, RepairDecision, User
from records.models.welding import DECISIONS
from records.recording import record
from records.refusals import Fault


def decide_repairs(drafts: Sequence[RepairDecision], *, job: Job, by: User) -> list[RepairDecision]:
    """Record decisions; each opens the joint's next attempt. A draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, the rejected attempt, decision, day and by
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    """
    return record(drafts, job=job, by=by, verb="decide repair", check=faults)


def faults(draft: RepairDecision) -> Iterable[Fault]:
    """Yield the values that can't be."""
    if draft.decision not in DECISIONS:
        yield Fault("decision", f"{draft.decision!r} is no decision.", ", ".join(DECISIONS))
