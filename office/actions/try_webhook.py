"""Send a webhook an event that says nothing, to see whether it answers."""

from uuid import UUID

from django.db import transaction

from office.queries.webhooks import live_webhook
from records import outbox
from records.models import Job, User, Webhook, WebhookDelivery
from records.permissions import require
from records.retrying import retried


@retried
def try_webhook(webhook: UUID, *, job: Job, by: User) -> WebhookDelivery:
    """Write a test event; it is sent like any other, at once even where the address had failed before.

    Raises  NotAllowed, NotThere (none of this job, or an ended one)
    """
    require(by, job, "send events")
    with transaction.atomic():
        found = live_webhook(job, webhook, lock=True)
        Webhook.objects.filter(id=found.id).update(quiet_until=None)
        return outbox.note_test(found)
