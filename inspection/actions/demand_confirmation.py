"""Say whether a job releases only by tables that an engineer has confirmed."""

from django.db import transaction
from django.utils import timezone

from inspection.actions.judge_released import judge_released
from records import journal
from records.locking import lock_plan
from records.models import Job, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def demand_confirmation(job: Job, demanded: bool, *, by: User, reason: str = "") -> bool:
    """Set it, and write the journal; whether anything changed. What is released stays so, and is judged again.

    reason  why it is not demanded any more; the demand itself needs none
    Raises  NotAllowed, Implausible (switched off without a reason)
    """
    require(by, job, "confirm")
    with transaction.atomic():
        lock_plan(job, changes=True)
        stored = Job.objects.select_for_update(no_key=True).get(pk=job.pk)
        if stored.confirmation_demanded == demanded:
            return False
        if not demanded and not reason.strip():
            told = "Say why releases need no confirmed tables any more."
            raise Implausible.of(Fault("reason", told, "a few words"))
        stored.confirmation_demanded = job.confirmation_demanded = demanded
        stored.save(update_fields=["confirmation_demanded"])
        judge_released(stored, by=by)
        journal.append([stored], job=stored, by=by, at=timezone.now(), reason=reason.strip())
    return True
