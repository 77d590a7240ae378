"""Give a procedure to joints that name none."""

from collections.abc import Sequence
from functools import reduce
from operator import or_
from typing import Any

from django.db import transaction
from django.db.models import Q

from joints.actions.save_plan import save_plan
from joints.queries.bare_joints import without_procedure
from records.locking import lock_plan
from records.models import Job, Procedure, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def give_procedure(procedure: Procedure, alike: Sequence[dict[str, Any]], *, job: Job, by: User) -> int:
    """Give joints that are alike a procedure, and return how many got it; one that names another keeps that.

    alike   for each group of joints what they have alike, as columns with their values
    Raises  NotAllowed, Implausible (no group, or none of its joints is without a procedure any more)
    """
    require(by, job, "plan")
    if procedure.job_id != job.id:
        raise Implausible.of(Fault("joints", "The procedure is one of another job.", "a procedure of this job"))
    if not alike:
        raise Implausible.of(Fault("joints", "No joints were chosen.", "one or more of the rows"))
    with transaction.atomic():
        lock_plan(job)
        chosen = reduce(or_, (Q(**one) for one in alike))
        rows = list(without_procedure(job).select_for_update().filter(chosen))
        if not rows:
            raise Implausible.of(Fault("joints", "These joints have a procedure by now.", "joints without one"))
        for joint in rows:
            joint.procedure = procedure
        return len(save_plan(rows, job=job, by=by, reason=f"procedure {procedure.number} for joints without one"))
