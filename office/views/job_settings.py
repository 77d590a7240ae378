"""The settings of a job, changed with a reason."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import render

from joints.views.record_page import SeeOther
from office.actions.change_job import change_job
from office.forms.job_form import JobForm
from records.access import JobRequest, on_job
from records.refusals import Refusal


@on_job(get="plan", post="plan")
def show_settings(request: JobRequest) -> HttpResponse:
    """Show the form with the settings as they stand, or change them."""
    sent = request.POST if request.method == "POST" else None
    form = JobForm(sent, job=request.job, may_manage_people="manage people" in request.verbs)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                reason = form.cleaned_data["reason"]
                changed = change_job(form.wanted(), job=request.job, by=request.user, reason=reason)
            except Refusal as refusal:
                form.take(refusal)
                status = refusal.status
            else:
                labels = ", ".join(str(form.fields[name].label) for name in changed)
                messages.success(request, f"Changed: {labels}." if changed else "The settings stand so already.")
                return SeeOther(request.path)
    return render(request, "office/job_settings.html", {"form": form}, status=status)
