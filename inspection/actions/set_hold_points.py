"""Set hold and witness points of the inspection and test plan: new, changed, or taken out of force."""

from collections.abc import Iterator, Sequence

from django.db import transaction

from inspection.actions.record_examinations import METHODS
from joints.actions.save_plan import save_plan
from records.locking import lock_plan
from records.models import HoldPoint, Job, Line, User
from records.models.joint import KINDS
from records.models.point import POINT_KINDS
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from rules.points import FIT_UP, RELEASE, ROOT

STEPS = (FIT_UP, ROOT, *METHODS, RELEASE)
_CHANGEABLE = ("name", "step", "kind", "line_id", "piping_class", "joint_kind", "document", "in_force")


@retried
def set_hold_points(rows: Sequence[HoldPoint], *, job: Job, by: User, reason: str = "") -> list[HoldPoint]:
    """Write points; one that is stored as it is stays untouched. Returns those written.

    rows    with their keys; a key that is stored means a change, which needs a reason
    Raises  NotAllowed, Implausible (no name or one that is taken, a step, kind, joint kind or line that there is none
            of, a change without a reason)
    """
    require(by, job, "plan")
    with transaction.atomic():
        # One at a time on a job: a name that is taken must not be taken again meanwhile.
        lock_plan(job, changes=True)
        faults = [fault for row in rows for fault in _faults(row, job, reason)]
        if faults:
            raise Implausible.of(*faults)
        written = save_plan(rows, job=job, by=by, reason=reason)
    return [row for row in written if isinstance(row, HoldPoint)]


def _faults(row: HoldPoint, job: Job, reason: str) -> Iterator[Fault]:
    if not row.name.strip():
        yield Fault("name", "The point has no name.", "its item in the inspection and test plan, for example 4.2")
    for field, value, accepted in (
        ("step", row.step, STEPS),
        ("kind", row.kind, POINT_KINDS),
        ("joint kind", row.joint_kind, ("", *KINDS)),
    ):
        if value not in accepted:
            yield Fault(field, f'There is no {field} "{value}".', ", ".join(one for one in accepted if one))
    if row.line_id and not Line.objects.filter(job=job, id=row.line_id).exists():
        yield Fault("line", "There is no such line on this job.", "a line of the job")
    stored = HoldPoint.objects.filter(job=job)
    if stored.filter(name=row.name).exclude(pk=row.pk).exists():
        yield Fault("name", f"There is a point {row.name} already.", "a change of that one, or another name")
    before = stored.filter(pk=row.pk).first()
    if before and not reason.strip() and any(getattr(before, name) != getattr(row, name) for name in _CHANGEABLE):
        yield Fault("reason", "Say why the point changes.", "a few words")
