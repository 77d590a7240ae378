"""Addresses of programs that are told what happens on a job, what they are told, and how each telling went."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from records.models.base import new_id, one_of

# What can be told: the word that a subscriber chooses, and what it means.
EVENTS = {
    "records.written": "a record was written: fit-up, pass, examination, correction, withdrawal ...",
    "findings.opened": "a finding appeared, or its override fell away",
    "findings.closed": "a finding was mended, or overridden",
    "joints.released": "a joint was released",
    "packages.built": "a turnover package was built",
}
# Sent only when somebody asks for it, to see whether an address answers.
TEST = "webhook.test"
DELIVERY_STATES = ("waiting", "delivered", "given up")


class Webhook(models.Model):
    """An address that is told of some kinds of event of one job, until it is ended."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="webhooks")
    address = models.CharField(max_length=500)
    kinds = models.JSONField(default=list)
    salt = models.CharField(max_length=64, help_text="The secret follows from it and the site's key")
    secret_sum = models.CharField(max_length=64, help_text="SHA-256 of the secret: tells when the site's key changed")
    salt_before = models.CharField(max_length=64, blank=True, default="")
    before_until = models.DateTimeField(null=True, blank=True, help_text="How long the secret before signs too")
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    failures = models.PositiveIntegerField(default=0, help_text="Attempts that failed since the last that did not")
    quiet_until = models.DateTimeField(null=True, blank=True, help_text="After a failure nothing is sent until then")

    @property
    def told_when(self) -> list[str]:
        """What it is told of, in words."""
        return [EVENTS[kind] for kind in self.kinds]


class WebhookEvent(models.Model):
    """What happened, as it is sent; written in the transaction of what happened."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=24)
    at = models.DateTimeField()
    body = models.TextField(help_text="The very bytes that are signed and sent")

    class Meta:
        constraints = [one_of("kind", (*EVENTS, TEST), "webhook_event_kind_known")]
        indexes = [models.Index(fields=["at"], name="webhook_event_by_time")]


class WebhookDelivery(models.Model):
    """One event on its way to one address."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    webhook = models.ForeignKey(Webhook, on_delete=models.PROTECT, related_name="deliveries", db_index=False)
    event = models.ForeignKey(WebhookEvent, on_delete=models.PROTECT, related_name="deliveries")
    state = models.CharField(max_length=9, default="waiting")
    tries = models.PositiveSmallIntegerField(default=0)
    next_at = models.DateTimeField(help_text="When it is due, or the worker that took it is thought to be dead")

    class Meta:
        constraints = [
            one_of("state", DELIVERY_STATES, "webhook_delivery_state_known"),
            models.UniqueConstraint(fields=["webhook", "event"], name="webhook_delivery_once"),
        ]
        indexes = [
            models.Index(fields=["next_at"], condition=Q(state="waiting"), name="webhook_delivery_due"),
            models.Index(fields=["webhook", "id"], name="webhook_delivery_by_age"),
        ]


class WebhookAttempt(models.Model):
    """One attempt to deliver; without an end it broke off with its worker."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    delivery = models.ForeignKey(WebhookDelivery, on_delete=models.PROTECT, related_name="attempts")
    at = models.DateTimeField()
    status = models.PositiveSmallIntegerField(null=True, blank=True, help_text="What the address answered")
    error = models.CharField(max_length=200, blank=True, default="", help_text="Why it was not delivered")
    milliseconds = models.PositiveIntegerField(null=True, blank=True)
