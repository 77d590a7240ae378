"""Have a program told what happens on a job: an address, and the kinds of event that it hears."""

import logging
from collections.abc import Iterator, Sequence
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from office.calling import signing
from office.calling.door import FORM, Shut, parsed
from records.locking import lock_plan
from records.models import Job, User, Webhook
from records.models.webhook import EVENTS
from records.permissions import require
from records.refusals import Fault, Implausible, RecordClash
from records.retrying import retried

log = logging.getLogger(__name__)
MOST = 20


@retried
def add_webhook(id: UUID, address: str, kinds: Sequence[str], *, job: Job, by: User) -> tuple[Webhook, str]:
    """Make a webhook and return it with its secret, which is shown this once; empty where the same came again.

    Raises  NotAllowed, Implausible (an address that is not called, no kind or one that there is none of, too many
            webhooks on the job), RecordClash (the id is another webhook's)
    """
    require(by, job, "send events")
    wanted = [kind for kind in EVENTS if kind in kinds]
    if faults := list(_faults(address, kinds)):
        raise Implausible.of(*faults)
    with transaction.atomic():
        # Two at once must not both be the last that fits.
        lock_plan(job)
        stored = Webhook.objects.select_related("job", "made_by", "ended_by").filter(id=id).first()
        if stored is not None:
            if (stored.job_id, stored.address, stored.kinds) != (job.id, address, wanted):
                raise RecordClash("This id is another webhook’s; make a new one for a new webhook.")
            return stored, ""
        if Webhook.objects.filter(job=job, ended_at__isnull=True).count() >= MOST:
            raise Implausible(f"{job.code} has {MOST} webhooks; end one that is not needed.")
        salt = signing.new_salt()
        made = Webhook.objects.create(
            id=id, job=job, address=address, kinds=wanted, salt=salt, secret_sum=signing.sum_of(salt), made_by=by,
            made_at=timezone.now(),
        )  # fmt: skip
    log.warning("%s has %s of %s told to %s", by.get_username(), ", ".join(wanted), job.code, address)
    return made, signing.secret_of(salt)


def _faults(address: str, kinds: Sequence[str]) -> Iterator[Fault]:
    try:
        parsed(address)
    except Shut as shut:
        yield Fault("address", str(shut), FORM)
    unknown = [kind for kind in kinds if kind not in EVENTS]
    if unknown or not kinds:
        told = f"There is no kind of event “{unknown[0][:40]}”." if unknown else "Choose at least one kind of event."
        yield Fault("kinds", told, ", ".join(EVENTS))
