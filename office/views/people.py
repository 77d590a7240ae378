"""The people of a job, to read."""

from django.http import HttpResponse
from django.shortcuts import render

from office.queries.members import members
from records.access import JobRequest, on_job


@on_job(get="read")
def show_people(request: JobRequest) -> HttpResponse:
    """Show who is on the job in which role; how they sign in is for whoever manages people."""
    return render(request, "office/people.html", {"members": members(request.job)})
