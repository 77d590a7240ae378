"""Give a webhook a new secret."""

import logging
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from office.calling import signing
from office.queries.webhooks import live_webhook
from records.models import Job, User, Webhook
from records.permissions import require
from records.retrying import retried

log = logging.getLogger(__name__)


@retried
def rotate_secret(webhook: UUID, *, job: Job, by: User) -> tuple[Webhook, str]:
    """Make a new secret and return it, this once; for a day the one before signs too.

    Raises  NotAllowed, NotThere (none of this job, or an ended one)
    """
    require(by, job, "send events")
    with transaction.atomic():
        found = live_webhook(job, webhook, lock=True)
        now, salt = timezone.now(), signing.new_salt()
        if signing.can_sign(found):
            found.salt_before, found.before_until = found.salt, now + signing.BOTH_FOR
        else:
            found.salt_before, found.before_until = "", None
        found.salt, found.secret_sum = salt, signing.sum_of(salt)
        found.save(update_fields=["salt", "secret_sum", "salt_before", "before_until"])
    log.warning("%s made a new secret for the webhook %s", by.get_username(), found.address)
    return found, signing.secret_of(salt)
