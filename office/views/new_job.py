"""A new job, opened from the page of another."""

from django.http import HttpResponse
from django.urls import reverse

from joints.views.record_page import form_page, sent
from office.actions.open_job import open_job
from office.forms.job_form import NewJobForm
from records.access import JobRequest, on_job


@on_job(get="manage people", post="manage people")
def open_new_job(request: JobRequest) -> HttpResponse:
    """Show the form, or open the job and go on to its import, with the empty workbook to fill in."""
    form = NewJobForm(sent(request), beside=request.job)
    next_up = "you are its administrator. Next, import a workbook: there is an empty one."
    return form_page(
        request,
        form,
        lambda: open_job(form.draft(), beside=request.job, by=request.user),
        template="office/new_job.html",
        back=lambda job: reverse("imports", args=[job.code]),
        told=lambda job: f"{job.code} is open; {next_up}",
    )
