"""Webhooks through the API: made, tried, given a new secret, ended; and what became of what was sent."""

from typing import Any
from uuid import UUID

from django.http import Http404
from django.urls import path
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from office.actions.add_webhook import add_webhook
from office.actions.end_webhook import end_webhook
from office.actions.rotate_secret import rotate_secret
from office.actions.send_again import send_again
from office.actions.try_webhook import try_webhook
from records.api.asker import Asker
from records.api.described import ResourceSchema
from records.api.endpoints import ListView, OneView, ResourceView
from records.api.fields import key, moment, one_of, person, text, whole, words_of
from records.api.resource import Children, Resource, shape
from records.api.writing import read_one
from records.models import Webhook, WebhookAttempt, WebhookDelivery
from records.models.webhook import DELIVERY_STATES, EVENTS, TEST

VERB = "send events"
ABOUT_KINDS = f"Some of {', '.join(EVENTS)}"
WEBHOOKS = Resource(
    "webhooks",
    "Webhook",
    "An address that is told what happens on a job; docs/api.md says what is sent and how it is signed.",
    Webhook,
    {
        "id": key("id", about="Made by the program; the same webhook sent again is made once").required(),
        "job": text("job__code", about="The code of the job").required(),
        "address": text("address", most=500).required(),
        "kinds": words_of("kinds", about=ABOUT_KINDS).required(),
        "made_by": person("made_by"),
        "made_at": moment("made_at"),
        "ended_at": moment("ended_at", nullable=True),
        "failures": whole("failures"),
    },
    read_verb=VERB,
    verb=VERB,
)
DELIVERIES = Resource(
    "webhook-deliveries",
    "WebhookDelivery",
    "One event on its way to one webhook, with each attempt; kept for 90 days.",
    WebhookDelivery,
    {
        "id": key("id"),
        "job": text("webhook__job__code"),
        "webhook_id": key("webhook_id"),
        "event_id": key("event_id"),
        "kind": one_of("event__kind", (*EVENTS, TEST)),
        "happened_at": moment("event__at"),
        "state": one_of("state", DELIVERY_STATES),
        "tries": whole("tries"),
        "due_at": moment("next_at"),
    },
    of_job="webhook__job_id",
    filters=("webhook_id",),
    children={
        "attempts": Children(
            WebhookAttempt,
            "delivery_id",
            {
                "at": moment("at"),
                "status": whole("status", nullable=True),
                "error": text("error"),
                "milliseconds": whole("milliseconds", nullable=True),
            },
        )
    },
    read_verb=VERB,
)
SECRET = serializers.CharField(
    read_only=True, allow_null=True, help_text="Shown once, when it is made; null when the same webhook is sent again"
)
WithSecret = shape("WebhookWithSecret", {**WEBHOOKS.read_shape().get_fields(), "secret": SECRET})


class _Schema(ResourceSchema):
    """The schema of what is not a record: one thing is sent, or nothing, and one comes back."""

    def get_operation_id(self) -> str:
        """The name of the deed, as the view has it."""
        return self.view.deed if self.method == "POST" else super().get_operation_id()

    def get_description(self) -> str:  # type: ignore[override]  # the library's own has no arguments either
        """What the deed does, or the resource's own sentence."""
        return self.view.about if self.method == "POST" else super().get_description()

    def get_override_parameters(self) -> list[Any]:
        """None where something is written."""
        return [] if self.method == "POST" else super().get_override_parameters()

    def get_request_serializer(self) -> Any:
        """What is sent, if anything."""
        return self.view.sent if self.method == "POST" else None

    def get_response_serializers(self) -> Any:
        """What comes back, under the status of what is new or was done."""
        return dict.fromkeys(self.view.statuses, self.view.told) if self.method == "POST" else (
            super().get_response_serializers()
        )  # fmt: skip


class WebhooksView(ListView):
    """GET the webhooks, POST a new one."""

    http_method_names = ["get", "head", "post"]
    schema = _Schema()
    deed, sent, told, statuses = "make_webhook", WEBHOOKS.draft_shape, WithSecret, (201, 200)
    about = "Make a webhook. The answer holds its secret, this once."

    def post(self, request: Request) -> Response:
        """Answer 201 with the secret, 200 without it where the same stood here already."""
        asker = Asker(request)
        if "job" in request.query_params:
            asker.job_called(request.query_params["job"], VERB)
        asker.admit_somewhere(VERB)
        said = read_one(request, WEBHOOKS)
        job = asker.job_called(said["job"], VERB)
        made, secret = add_webhook(said["id"], said["address"], said["kinds"], job=job, by=asker.user)
        return Response(_told(made) | {"secret": secret or None}, status=201 if secret else 200)


class _DeedView(ResourceView):
    """POST to something that stands: a deed that needs nothing sent."""

    http_method_names = ["post"]
    schema = _Schema()
    sent: Any = None
    told: Any = None
    statuses = (200,)
    deed = about = ""

    def post(self, request: Request, id: UUID) -> Response:
        """Do it on a thing of a job that the person is on; any other is as one that does not exist."""
        asker = Asker(request)
        of_job = self.resource.of_job
        row = self.resource.model.objects.filter(pk=id).values(of_job).first()
        if row is None or not asker.is_on(row[of_job]):
            raise Http404("There is no such thing.")
        asker.admit(row[of_job], VERB)
        return Response(self.act(id, job=asker.job_of(row[of_job]), by=asker.user))

    def act(self, id: UUID, **who: Any) -> Any:
        """What it does, and what is answered."""
        raise NotImplementedError


class RotateView(_DeedView):
    """POST: a new secret."""

    resource, told, deed = WEBHOOKS, WithSecret, "rotate_secret"
    about = "Make a new secret, shown this once; for a day messages are signed with the one before too."

    def act(self, id: UUID, **who: Any) -> Any:
        """The webhook with its new secret."""
        webhook, secret = rotate_secret(id, **who)
        return _told(webhook) | {"secret": secret}


class EndView(_DeedView):
    """POST: no more."""

    resource, told, deed = WEBHOOKS, WEBHOOKS.read_shape, "end_webhook"
    about = "End a webhook: nothing is sent to it any more; its log stays."

    def act(self, id: UUID, **who: Any) -> Any:
        """The webhook, ended."""
        return _told(end_webhook(id, **who))


class TryView(_DeedView):
    """POST: a test event."""

    resource, told, deed = WEBHOOKS, DELIVERIES.read_shape, "try_webhook"
    about = "Send a test event, to see whether the address answers."

    def act(self, id: UUID, **who: Any) -> Any:
        """The delivery of the test event."""
        return _delivery(try_webhook(id, **who).id)


class SendAgainView(_DeedView):
    """POST: once more."""

    resource, told, deed = DELIVERIES, DELIVERIES.read_shape, "send_delivery_again"
    about = "Send a delivery once more, whatever became of it."

    def act(self, id: UUID, **who: Any) -> Any:
        """The delivery, due now."""
        return _delivery(send_again(id, **who).id)


def _told(webhook: Webhook) -> dict[str, Any]:
    return WEBHOOKS.shown(WEBHOOKS.all().filter(pk=webhook.id))[0]


def _delivery(key: UUID) -> dict[str, Any]:
    return DELIVERIES.shown(DELIVERIES.all().filter(pk=key))[0]


WEBHOOK_RESOURCES = (WEBHOOKS, DELIVERIES)
WEBHOOK_ROUTES = [
    path("api/webhooks/", WebhooksView.as_view(resource=WEBHOOKS), name="api-webhooks"),
    path("api/webhooks/<uuid:id>/", OneView.as_view(resource=WEBHOOKS), name="api-webhooks-one"),
    path("api/webhooks/<uuid:id>/rotate/", RotateView.as_view(), name="api-webhooks-rotate"),
    path("api/webhooks/<uuid:id>/end/", EndView.as_view(), name="api-webhooks-end"),
    path("api/webhooks/<uuid:id>/try/", TryView.as_view(), name="api-webhooks-try"),
    path("api/webhook-deliveries/", ListView.as_view(resource=DELIVERIES), name="api-webhook-deliveries"),
    path("api/webhook-deliveries/<uuid:id>/", OneView.as_view(resource=DELIVERIES), name="api-webhook-deliveries-one"),
    path("api/webhook-deliveries/<uuid:id>/send-again/", SendAgainView.as_view(), name="api-webhook-deliveries-again"),
]
