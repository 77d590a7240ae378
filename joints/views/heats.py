"""The list of heats."""

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render

from joints.queries.heats import certificate_counts, heats_page
from records.access import JobRequest, on_job
from records.paging import clean, keys_asked


@on_job(get="read")
def show_heats(request: JobRequest) -> HttpResponse:
    """Show the heats with how their certificates stand."""
    search, missing = clean(request.GET.get("search")), request.GET.get("missing") == "yes"
    after, before = keys_asked(request.GET)
    page = heats_page(request.job, search=search, missing=missing, after=after, before=before)
    counts = certificate_counts(request.job)
    asked = urlencode({name: value for name, value in (("search", search), ("missing", missing and "yes")) if value})
    context = {"page": page, "counts": counts, "search": search, "missing": missing, "asked": asked}
    return render(request, "joints/heats.html", context)
