"""The pages of the owner's specification: its limits to read, and one of them to set or change."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from joints.actions.set_owner_limits import set_owner_limits
from joints.forms.owner_limit_form import OwnerLimitForm
from joints.queries.owner_limits import crossed_limits, owner_limits
from joints.views.record_page import form_page, sent
from records.access import JobRequest, on_job
from records.models import OwnerLimit


@on_job(get="read")
def show_specification(request: JobRequest) -> HttpResponse:
    """Show the limits of the owner, each beside what code, procedures and plans say of the same."""
    return render(request, "joints/specification.html", {"limits": owner_limits(request.job)})


@on_job(get="plan", post="plan")
def add_limit(request: JobRequest) -> HttpResponse:
    """Set one more limit."""
    return _form_page(request, None)


@on_job(get="plan", post="plan")
def change_limit(request: JobRequest, limit: UUID) -> HttpResponse:
    """Change a limit, or withdraw it."""
    return _form_page(request, get_object_or_404(OwnerLimit, job=request.job, id=limit))


def _form_page(request: JobRequest, row: OwnerLimit | None) -> HttpResponse:
    form = OwnerLimitForm(sent(request), job=request.job, row=row)

    def told(written: list[OwnerLimit]) -> str:
        for words in crossed_limits(request.job, form.draft()):
            messages.warning(request, words)
        return "The limit is set." if written else "The limit stands so already."

    return form_page(
        request,
        form,
        lambda: set_owner_limits([form.draft()], job=request.job, by=request.user, reason=form.reason),
        template="joints/specification_limit.html",
        back=reverse("specification", args=[request.job.code]),
        told=told,
        row=row,
        title="Change a limit" if row else "Set a limit",
    )
