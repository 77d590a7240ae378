"""The settings of a job, changed with a reason."""

from collections.abc import Sequence

from django.http import HttpResponse

from joints.views.record_page import form_page, sent
from office.actions.change_job import change_job
from office.forms.job_form import JobForm
from records.access import JobRequest, on_job


@on_job(get="plan", post="plan")
def show_settings(request: JobRequest) -> HttpResponse:
    """Show the form with the settings as they stand, or change them."""
    form = JobForm(sent(request), job=request.job, may_manage_people="manage people" in request.verbs)

    def told(changed: Sequence[str]) -> str:
        labels = ", ".join(str(form.fields[name].label) for name in changed)
        return f"Changed: {labels}." if changed else "The settings stand so already."

    return form_page(
        request,
        form,
        lambda: change_job(form.wanted(), job=request.job, by=request.user, reason=form.cleaned_data["reason"]),
        template="office/job_settings.html",
        back=request.path,
        told=told,
    )
