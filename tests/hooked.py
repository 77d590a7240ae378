"""A webhook with one delivery, as rows alone: what its pages and the API need to be shown."""

from uuid import UUID

from django.utils import timezone

from office.calling import signing
from records.models import Job, User, Webhook, WebhookAttempt, WebhookDelivery, WebhookEvent


def webhook_rows(job: Job, by: User) -> dict[str, UUID]:
    """Make one whose only delivery was given up; return the ids."""
    now, salt = timezone.now(), signing.new_salt()
    hook = Webhook.objects.create(
        job=job, address="https://example.com/hook", kinds=["records.written"], salt=salt,
        secret_sum=signing.sum_of(salt), made_by=by, made_at=now,
    )  # fmt: skip
    event = WebhookEvent.objects.create(job=job, kind="records.written", at=now, body="{}")
    delivery = WebhookDelivery.objects.create(webhook=hook, event=event, state="given up", tries=1, next_at=now)
    WebhookAttempt.objects.create(delivery=delivery, at=now, status=500, error="Answered 500.", milliseconds=9)
    return {"webhook": hook.id, "delivery": delivery.id}
