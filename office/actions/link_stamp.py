"""Say whose sign-in a stamp's welder has, so that their joints stand on their start page."""

from django.db import transaction

from joints.actions.save_plan import save_plan
from records.models import Job, Membership, Stamp, User, Welder
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@retried
def link_stamp(stamp: Stamp, person: User | None, *, job: Job, by: User, reason: str = "") -> Welder:
    """Link the welder who bears a stamp to a person of the job, or to nobody. The welder's other stamps go along.

    Raises  NotAllowed, Implausible (somebody not on the job, a welder who is linked to somebody else)
    """
    require(by, job, "manage people")
    with transaction.atomic():
        welder = Welder.objects.select_for_update(no_key=True).get(pk=stamp.welder_id, job=job)
        if person and not Membership.objects.filter(job=job, user=person, is_held=True).exists():
            raise Implausible.of(
                Fault("stamp", f"{person.get_username()} is not on {job.code}.", "somebody on the job")
            )
        if person and welder.user_id not in (None, person.pk):
            told = f"{stamp.code} is {welder.name}, who signs in as {welder.user}."
            raise Implausible.of(Fault("stamp", told, "a stamp of nobody else; take it from them first"))
        if welder.user_id != (person.pk if person else None):
            welder.user = person
            save_plan([welder], job=job, by=by, reason=reason, verb="manage people")
    return welder
