"""The page of one record: show the form, record what it says, go on to the joint card; refusals show in the form."""

from collections.abc import Callable, Sequence
from typing import Any, Protocol, TypeVar
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse

from records.access import JobRequest
from records.clock import zone_of
from records.models import Joint, Stamp
from records.models.base import JointRecord
from records.preview import findings_of_draft
from records.refusals import Refusal

MOST_STAMPS = 300
R = TypeVar("R", bound=JointRecord)


class SeeOther(HttpResponseRedirect):
    """Go on with GET, so that loading the next page again sends nothing twice."""

    status_code = 303


class Answerable(Protocol):
    """A form that says whether it can be done, and takes what spoke against it."""

    def is_valid(self) -> bool: ...
    def take(self, refusal: Refusal) -> None: ...


class Draftable(Answerable, Protocol):
    """A form that says one record."""

    def draft(self) -> Any: ...
    def typed_faults(self) -> Sequence[tuple[str, str]]: ...


def sent(request: JobRequest) -> QueryDict | None:
    """Return what was posted, even if that is nothing: a form that came back empty says what is missing."""
    return request.POST if request.method == "POST" else None


def record_page(
    request: JobRequest,
    joint: Joint,
    form: Draftable,
    act: Callable[..., Any],
    *,
    template: str = "joints/record_form.html",
    told: str = "Recorded.",
    back: str = "",
    **context: Any,
) -> HttpResponse:
    """Answer a form of one record: 200 with the form, 303 to the card, or the form with what is wrong (422, 409).

    A form posted with `preview` is judged and answered with what it would show; nothing is recorded.
    act   the action that takes a list of drafts, `job` and `by`
    told  what the next page says when it is done     back  where to go on to instead of the card
    """
    if request.method == "POST" and "preview" in request.POST:
        return _preview(request, form)
    return form_page(
        request,
        form,
        lambda: act([form.draft()], job=request.job, by=request.user),
        template=template,
        back=back or reverse("joint", args=[request.job.code, joint.id]),
        told=told,
        joint=joint,
        zone=zone_of(request.job).key,
        is_posted=request.method == "POST",
        **context,
    )


def form_page(
    request: JobRequest,
    form: Answerable,
    act: Callable[[], Any],
    *,
    template: str,
    back: str | Callable[[Any], str],
    told: str | Callable[[Any], str],
    **context: Any,
) -> HttpResponse:
    """Answer a form that writes: 200 with the form, 303 to where it led, or the form with what is wrong (422, 409).

    act   does what the form says, once it is valid
    back  the address to go on to     told  what that page says when it is done; either may ask what act gave back
    """
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                done = act()
            except Refusal as refusal:
                form.take(refusal)
                status = refusal.status
            else:
                messages.success(request, told(done) if callable(told) else told)
                return SeeOther(back(done) if callable(back) else back)
    return render(request, template, context | {"form": form, "back": back}, status=status)


def _preview(request: JobRequest, form: Draftable) -> HttpResponse:
    """Answer what the record would show, and what of what was typed can't be read; nothing is written."""
    told: dict[str, Any] = {"findings": findings_of_draft(request.job, form.draft())} if form.is_valid() else {}
    return render(request, "joints/_preview.html", told | {"form": form, "faults": form.typed_faults()})


def record_to_correct(request: JobRequest, model: type[R], joint: Joint) -> R | None:
    """Return the record of this joint that `replaces` names, None where nothing is corrected. Raises Http404."""
    text = request.POST.get("replaces") or request.GET.get("replaces") or ""
    if not text:
        return None
    return record_of(model, joint, text)


def record_of(model: type[R], joint: Joint, text: str) -> R:
    """Return a record of a joint by its key as text. Raises Http404."""
    try:
        key = UUID(text)
    except ValueError as error:
        raise Http404("There is no such record.") from error
    found = model._default_manager.filter(joint=joint, id=key).first()
    if found is None:
        raise Http404("There is no such record.")
    return found


def stamps_to_choose(request: JobRequest) -> list[tuple[str, str]]:
    """Return stamps with names to offer while typing; a job with more of them offers the first."""
    rows = Stamp.objects.filter(job=request.job).order_by("code").values_list("code", "welder__name")
    return list(rows[:MOST_STAMPS])
