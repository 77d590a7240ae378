"""Set limits of the owner's specification: new, changed, or withdrawn."""

from collections.abc import Iterator, Sequence

from django.db import transaction

from joints.actions.save_plan import save_plan
from records.locking import lock_plan
from records.models import Job, OwnerLimit, User
from records.models.joint import KINDS
from records.models.line import FLUID_SERVICES
from records.models.specification import MODES
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from rules.specification import GROOVE, LIMITS, SEVERE_CYCLIC

JOINT_KINDS = ("", GROOVE, *KINDS)
_CHANGEABLE = ("limit", "joint_kind", "service", "value", "typed", "mode", "specification", "clause")
SERVICES = ("", *FLUID_SERVICES, SEVERE_CYCLIC)


@retried
def set_owner_limits(rows: Sequence[OwnerLimit], *, job: Job, by: User, reason: str = "") -> list[OwnerLimit]:
    """Write limits of the owner; one that is stored as it is stays untouched. Returns those written.

    rows    with their keys; a key that is stored means a change, which needs a reason
    Raises  NotAllowed, Implausible (a limit, kind, service or mode that there is none of, no specification, a limit
            that is set already, a change without a reason)
    """
    require(by, job, "plan")
    with transaction.atomic():
        # One at a time on a job: what is set already must not be set beside it meanwhile.
        lock_plan(job, changes=True)
        faults = [fault for row in rows for fault in _faults(row, job, reason)]
        if faults:
            raise Implausible.of(*faults)
        written = save_plan(rows, job=job, by=by, reason=reason)
    return [row for row in written if isinstance(row, OwnerLimit)]


def _faults(row: OwnerLimit, job: Job, reason: str) -> Iterator[Fault]:
    for field, value, accepted in (
        ("limit", row.limit, tuple(LIMITS)),
        ("joint kind", row.joint_kind, JOINT_KINDS),
        ("service", row.service, SERVICES),
        ("mode", row.mode, MODES),
    ):
        if value not in accepted:
            yield Fault(field, f'There is no {field} "{value}".', ", ".join(one for one in accepted if one))
    if not row.specification.strip():
        yield Fault("specification", "Which specification asks for it is missing.", "its name, for example PS-110")
    stored = OwnerLimit.objects.filter(job=job)
    same = stored.filter(limit=row.limit, joint_kind=row.joint_kind, service=row.service).exclude(pk=row.pk)
    if same.exists():
        yield Fault("limit", f"The limit {row} is set already.", "a change of that one")
    before = stored.filter(pk=row.pk).first()
    if before and not reason.strip() and any(getattr(before, name) != getattr(row, name) for name in _CHANGEABLE):
        yield Fault("reason", "Say why the limit changes.", "a few words")
