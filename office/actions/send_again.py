"""Send a delivery once more, whatever became of it."""

from uuid import UUID

from django.db import transaction
from django.utils import timezone

from office.queries.webhooks import live_webhook
from records.models import Job, User, Webhook, WebhookDelivery
from records.permissions import require
from records.refusals import NotThere
from records.retrying import retried


@retried
def send_again(delivery: UUID, *, job: Job, by: User) -> WebhookDelivery:
    """Make it due now, with all its attempts before it; the receiver knows it by its id.

    Raises  NotAllowed, NotThere (none of this job, or of an ended webhook)
    """
    require(by, job, "send events")
    with transaction.atomic():
        found = WebhookDelivery.objects.filter(id=delivery, webhook__job=job).first()
        if found is None:
            raise NotThere("There is no such delivery.")
        hook = live_webhook(job, found.webhook_id, lock=True)
        Webhook.objects.filter(id=hook.id).update(quiet_until=None)
        WebhookDelivery.objects.filter(id=found.id).update(state="waiting", tries=0, next_at=timezone.now())
    found.refresh_from_db()
    return found
