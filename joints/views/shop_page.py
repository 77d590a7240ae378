"""The page of one record of a piece, a spool or a filler lot: the form, the record, and back to the thing's page."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from joints.actions.withdraw_shop_records import withdraw_shop_records
from joints.forms.withdraw_shop_form import WithdrawShopForm
from joints.queries.joint_history import Entry
from joints.queries.shop_history import entry_of
from joints.views.record_page import Answerable, form_page
from records.access import JobRequest
from records.models.base import ShopRecord

R = TypeVar("R", bound=ShopRecord)
TEMPLATE = "joints/shop_record_form.html"


def shop_page(
    request: JobRequest, form: Answerable, act: Callable[[], Any], *, back: str, told: str, **context: Any
) -> HttpResponse:
    """Answer a form of one record of the shop, as `form_page` does; `back` is the address of the thing's page."""
    return form_page(request, form, act, template=TEMPLATE, back=back, told=told, **context)


def replaced_by(request: JobRequest, model: type[R], **about: Any) -> R | None:
    """Return the record that `replaces` names, None where nothing is corrected. Raises Http404."""
    text = request.POST.get("replaces") or request.GET.get("replaces") or ""
    if not text:
        return None
    try:
        return get_object_or_404(model._default_manager.filter(job=request.job, **about), id=UUID(text))
    except ValueError as error:
        raise Http404("There is no such record.") from error


def withdraw_page(request: JobRequest, record: ShopRecord, thing: UUID, *, back: str, **context: Any) -> HttpResponse:
    """Show the record that is to be withdrawn, and withdraw it with a reason."""
    form = WithdrawShopForm(request.POST or None, job=request.job, record=record)
    return shop_page(
        request,
        form,
        lambda: withdraw_shop_records([form.draft()], job=request.job, by=request.user),
        back=back,
        told="Record withdrawn.",
        title="Withdraw a record",
        submit="Withdraw the record",
        entry=entry_of(request.job, record, thing),
        **context,
    )


def mended(
    request: JobRequest, entries: Sequence[Entry], *, verb: str, correct: str, withdraw: str
) -> list[tuple[Entry, dict[str, str]]]:
    """Give each entry the addresses of its correction and its withdrawal, where this person may.

    correct   the address of the thing's form     withdraw  the name of the route by the record's id
    """
    return [(entry, _mending(request, entry, verb, correct, withdraw)) for entry in entries]


def _mending(request: JobRequest, entry: Entry, verb: str, correct: str, withdraw: str) -> dict[str, str]:
    if entry.struck:
        return {}
    addresses = {"correct": f"{correct}?replaces={entry.id}"} if verb in request.verbs else {}
    if "withdraw" in request.verbs:
        addresses["withdraw"] = reverse(withdraw, args=[request.job.code, entry.id])
    return addresses
