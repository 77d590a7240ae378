"""The webhooks of a job, and what became of what was sent to them."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Max, Q, QuerySet

from office.calling.signing import can_sign
from records.models import Job, Webhook, WebhookAttempt, WebhookDelivery
from records.refusals import NotThere

PAGE = 50


@dataclass(frozen=True, slots=True)
class Told:
    """A delivery with its attempts, the last first."""

    delivery: WebhookDelivery
    attempts: tuple[WebhookAttempt, ...]


def webhooks_of(job: Job) -> list[Webhook]:
    """Return the webhooks with counts of their deliveries, those that are ended last; one query."""
    waiting, lost = (Count("deliveries", filter=Q(deliveries__state=one)) for one in ("waiting", "given up"))
    latest = Max("deliveries__event__at", filter=Q(deliveries__state="delivered"))
    rows = Webhook.objects.filter(job=job).select_related("made_by")
    found = list(rows.annotate(waiting=waiting, lost=lost, latest=latest).order_by("-made_at", "id"))
    return sorted(found, key=lambda one: one.ended_at is not None)


def webhook_of(job: Job, key: UUID) -> Webhook | None:
    """Return a webhook of a job; one query."""
    return Webhook.objects.filter(job=job, id=key).select_related("job", "made_by", "ended_by").first()


def live_webhook(job: Job, key: UUID, *, lock: bool = False) -> Webhook:
    """Return a webhook that is not ended; one query. Raises NotThere"""
    rows: QuerySet[Webhook] = Webhook.objects.filter(job=job, id=key)
    found = (rows.select_for_update(no_key=True) if lock else rows).first()
    if found is None:
        raise NotThere("There is no such webhook.")
    if found.ended_at:
        raise NotThere("This webhook is ended; make a new one.")
    return found


def log_of(webhook: Webhook, before: UUID | None) -> tuple[list[Told], UUID | None]:
    """Return a page of deliveries, the newest first, and the id that the next page begins before; two queries."""
    rows = WebhookDelivery.objects.filter(webhook=webhook).select_related("event").order_by("-id")
    found = list((rows.filter(id__lt=before) if before else rows)[: PAGE + 1])
    shown = found[:PAGE]
    attempts: dict[UUID, list[WebhookAttempt]] = {one.id: [] for one in shown}
    for attempt in WebhookAttempt.objects.filter(delivery__in=list(attempts)).order_by("-id"):
        attempts[attempt.delivery_id].append(attempt)
    told = [Told(one, tuple(attempts[one.id])) for one in shown]
    return told, shown[-1].id if len(found) > PAGE else None


def has_lost_key(webhook: Webhook) -> bool:
    """Say whether the site's key was changed since the secret was made, so that nothing can be signed with it."""
    return webhook.ended_at is None and not can_sign(webhook)
