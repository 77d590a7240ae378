"""The pages of webhooks: what programs are told, and how each telling went."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from joints.views.record_page import SeeOther
from office.actions.add_webhook import add_webhook
from office.actions.end_webhook import end_webhook
from office.actions.rotate_secret import rotate_secret
from office.actions.send_again import send_again
from office.actions.try_webhook import try_webhook
from office.forms.webhook_form import WebhookForm
from office.queries.webhooks import has_lost_key, log_of, webhook_of, webhooks_of
from records.access import JobRequest, on_job
from records.models import Webhook
from records.paging import keys_asked
from records.refusals import Implausible, NotThere, Refusal


@on_job(get="send events", post="send events")
def show_webhooks(request: JobRequest) -> HttpResponse:
    """List the webhooks; make one and show its secret, this once."""
    form = WebhookForm(request.POST if request.method == "POST" else None)
    secret, made, status = "", None, 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            said = form.cleaned_data
            try:
                made, secret = add_webhook(
                    said["id"], said["address"], said["kinds"], job=request.job, by=request.user
                )  # fmt: skip
            except Refusal as refusal:
                form.take(refusal)
                status = refusal.status
            else:
                form, status = WebhookForm(), 200
    context = {"form": form, "webhooks": webhooks_of(request.job), "secret": secret, "made": made}
    return render(request, "office/webhooks.html", context, status=status)


@on_job(get="send events", post="send events")
def show_webhook(request: JobRequest, webhook: UUID) -> HttpResponse:
    """Show a webhook with its log; try it, give it a new secret, or end it."""
    found = webhook_of(request.job, webhook)
    if found is None:
        raise Http404("There is no such webhook.")
    if request.method != "POST":
        return _page(request, found)
    deed = request.POST.get("deed", "")
    if deed == "secret":
        found, secret = rotate_secret(webhook, job=request.job, by=request.user)
        return _page(request, found, secret)
    if deed == "try":
        try_webhook(webhook, job=request.job, by=request.user)
        messages.success(request, "A test event waits to be sent; load the page again in a moment.")
    elif deed == "end":
        end_webhook(webhook, job=request.job, by=request.user)
        messages.success(request, "Ended: nothing is sent there any more.")
    else:
        raise Implausible("Nothing was asked for; choose what to do with the webhook.")
    return SeeOther(request.path)


@on_job(post="send events")
def send_delivery_again(request: JobRequest, webhook: UUID, delivery: UUID) -> HttpResponse:
    """Make a delivery due once more, and go back to the log."""
    try:
        send_again(delivery, job=request.job, by=request.user)
    except NotThere as refusal:
        raise Http404(refusal.message) from refusal
    messages.success(request, "It waits to be sent once more; load the page again in a moment.")
    return SeeOther(reverse("webhook", args=[request.job.code, webhook]))


def _page(request: JobRequest, webhook: Webhook, secret: str = "") -> HttpResponse:
    _, before = keys_asked(request.GET)
    log, following = log_of(webhook, before)
    context = {
        "webhook": webhook,
        "log": log,
        "following": following,
        "is_first": before is None,
        "secret": secret,
        "has_lost_key": has_lost_key(webhook),
    }
    return render(request, "office/webhook.html", context)
