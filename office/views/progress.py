"""How far the job has come."""

from django.http import HttpResponse
from django.shortcuts import render

from joints.queries.tally import ORDER
from office.queries.progress import progress
from records.access import JobRequest, on_job
from records.paging import keys_asked


@on_job(get="read")
def show_progress(request: JobRequest) -> HttpResponse:
    """Show a strip for each line, and the figures beside it."""
    after, before = keys_asked(request.GET)
    return render(
        request, "office/progress.html", {"page": progress(request.job, after=after, before=before), "order": ORDER}
    )
