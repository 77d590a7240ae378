"""What becomes of a delivery: taken by a worker, delivered, tried again after growing waits, given up."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils import timezone

from office.calling import signing
from office.calling.post import Outcome, post
from records.models import Webhook, WebhookAttempt, WebhookDelivery, WebhookEvent

# After how long it is tried again: eleven attempts within three days.
WAITS = tuple(
    timedelta(minutes=one) for one in (0.5, 2, 10, 30, 60, 3 * 60, 6 * 60, 12 * 60, 24 * 60, 24 * 60)
)  # fmt: skip
# Whoever took it and said nothing for so long is thought to be dead; longer than any call lasts.
LEASE = timedelta(minutes=2)
# An address that fails is left in peace for a while, so that it holds up no others.
LONGEST_QUIET = timedelta(minutes=5)
KEPT = timedelta(days=90)
LOST_KEY = "The site's key was changed since: make a new secret for this webhook, and give it to the receiver."


@dataclass(frozen=True, slots=True)
class Parcel:
    """A delivery that this worker took, with all that the call needs."""

    delivery: UUID
    attempt: UUID
    tries: int
    webhook: Webhook
    event: UUID
    body: str


def take(most: int, *, but: set[UUID]) -> list[Parcel]:
    """Take what is due, one delivery of each webhook; some queries for each that is taken.

    but  the webhooks that are being called just now
    """
    now = timezone.now()
    rested = Q(webhook__quiet_until__isnull=True) | Q(webhook__quiet_until__lte=now)
    due = WebhookDelivery.objects.filter(rested, state="waiting", next_at__lte=now, webhook__ended_at__isnull=True)
    hooks = due.exclude(webhook__in=but).order_by().values_list("webhook", flat=True).distinct()[:most]
    return [parcel for hook in list(hooks) if (parcel := _take_first(due.filter(webhook=hook), now))]


def _take_first(due: QuerySet[WebhookDelivery], now: datetime) -> Parcel | None:
    found = due.select_related("webhook", "event").order_by("next_at", "id").first()
    if found is None:
        return None
    with transaction.atomic():
        mine = WebhookDelivery.objects.filter(id=found.id, state="waiting", next_at=found.next_at, tries=found.tries)
        if not mine.update(next_at=now + LEASE, tries=F("tries") + 1):
            return None
        attempt = WebhookAttempt.objects.create(delivery=found, at=now)
    return Parcel(found.id, attempt.id, found.tries + 1, found.webhook, found.event_id, found.event.body)


def call(parcel: Parcel) -> Outcome:
    """Sign and send; no query, so that any thread may do it."""
    if not signing.can_sign(parcel.webhook):
        return Outcome(None, LOST_KEY, 0)
    body = parcel.body.encode()
    signed = signing.headers(parcel.webhook, event=str(parcel.event), body=body, at=timezone.now())
    return post(
        parcel.webhook.address,
        body,
        {"Content-Type": "application/json", "User-Agent": "Spoolbook-webhook/1", **signed},
    )


@transaction.atomic
def settle(parcel: Parcel, outcome: Outcome) -> None:
    """Write how a call went, and when it is tried again; a late word of a worker thought to be dead says nothing."""
    now = timezone.now()
    said = {"status": outcome.status, "error": outcome.error, "milliseconds": outcome.milliseconds}
    WebhookAttempt.objects.filter(id=parcel.attempt).update(**said)
    mine = WebhookDelivery.objects.filter(id=parcel.delivery, state="waiting", tries=parcel.tries)
    hook = Webhook.objects.filter(id=parcel.webhook.id)
    if outcome.is_good:
        mine.update(state="delivered")
        hook.update(failures=0, quiet_until=None)
        return
    if parcel.tries > len(WAITS):
        mine.update(state="given up")
    else:
        mine.update(next_at=now + WAITS[parcel.tries - 1])
    failures = Webhook.objects.values_list("failures", flat=True).get(id=parcel.webhook.id)
    quiet = min(WAITS[min(failures, len(WAITS) - 1)], LONGEST_QUIET)
    hook.update(failures=F("failures") + 1, quiet_until=now + quiet)


def forget(now: datetime, most: int = 1000) -> int:
    """Remove what was delivered or given up long ago, with its log; returns how many deliveries."""
    old = WebhookDelivery.objects.filter(event__at__lt=now - KEPT).exclude(state="waiting")
    keys = list(old.values_list("id", flat=True)[:most])
    with transaction.atomic():
        WebhookAttempt.objects.filter(delivery__in=keys).delete()
        WebhookDelivery.objects.filter(id__in=keys).delete()
        bare = WebhookEvent.objects.filter(at__lt=now - KEPT, deliveries__isnull=True)
        WebhookEvent.objects.filter(id__in=list(bare.values_list("id", flat=True)[:most])).delete()
    return len(keys)
