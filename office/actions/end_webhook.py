"""End a webhook: nothing is sent to it any more."""

import logging
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from office.queries.webhooks import live_webhook
from records.models import Job, User, Webhook, WebhookDelivery
from records.permissions import require
from records.retrying import retried

log = logging.getLogger(__name__)


@retried
def end_webhook(webhook: UUID, *, job: Job, by: User) -> Webhook:
    """End it, and give up what still waited; the log stays.

    Raises  NotAllowed, NotThere (none of this job, or ended before)
    """
    require(by, job, "send events")
    with transaction.atomic():
        found = live_webhook(job, webhook, lock=True)
        found.ended_at, found.ended_by = timezone.now(), by
        found.save(update_fields=["ended_at", "ended_by"])
        WebhookDelivery.objects.filter(webhook=found, state="waiting").update(state="given up")
    log.warning("%s ended the webhook %s", by.get_username(), found.address)
    return found
