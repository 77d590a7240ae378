"""A new job, opened from the page of another."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from joints.views.record_page import SeeOther
from office.actions.open_job import open_job
from office.forms.job_form import NewJobForm
from records.access import JobRequest, on_job
from records.refusals import Refusal


@on_job(get="manage people", post="manage people")
def open_new_job(request: JobRequest) -> HttpResponse:
    """Show the form, or open the job and go on to its import, with the empty workbook to fill in."""
    form = NewJobForm(request.POST if request.method == "POST" else None, beside=request.job)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                job = open_job(form.draft(), beside=request.job, by=request.user)
            except Refusal as refusal:
                form.take(refusal)
                status = refusal.status
            else:
                told = f"{job.code} is open; you are its administrator. Next, import a workbook: there is an empty one."
                messages.success(request, told)
                return SeeOther(reverse("imports", args=[job.code]))
    return render(request, "office/new_job.html", {"form": form}, status=status)
