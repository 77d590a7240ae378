"""The list of heats, and where one of them is."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from joints.next_step import Steps
from joints.queries.heats import certificate_counts, heat_places, heats_page
from joints.queries.heats_table import heats_table
from joints.views.pieces import piece_lines
from joints.views.weld_log import log_lines
from records.access import JobRequest, on_job
from records.models import Heat
from records.paging import clean, keys_asked
from records.sending import send_list


@on_job(get="read")
def show_heats(request: JobRequest) -> HttpResponse:
    """Show the heats with how their certificates stand."""
    search, missing = _wanted(request)
    after, before = keys_asked(request.GET)
    page = heats_page(request.job, search=search, missing=missing, after=after, before=before)
    counts = certificate_counts(request.job)
    asked = urlencode({name: value for name, value in (("search", search), ("missing", missing and "yes")) if value})
    context = {"page": page, "counts": counts, "search": search, "missing": missing, "asked": asked}
    return render(request, "joints/heats.html", context)


@on_job(get="read")
def show_heat(request: JobRequest, heat: UUID) -> HttpResponse:
    """Show where a heat is: its pieces, the joints they are in, and the spools and lines of these."""
    found = get_object_or_404(Heat.objects.filter(job=request.job).select_related("certificate"), id=heat)
    places = heat_places(request.job, found)
    context = {
        "page": places,
        "heat": found,
        "pieces": piece_lines(places.pieces),
        "lines": log_lines(places.joints, Steps(request.job, request.verbs)),
    }
    return render(request, "joints/heat.html", context)


@on_job(get="read")
def send_heats(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the heats that match as a file."""
    search, missing = _wanted(request)
    return send_list(heats_table(request.job, search=search, missing=missing), request.job.code, form)


def _wanted(request: JobRequest) -> tuple[str, bool]:
    return clean(request.GET.get("search")), request.GET.get("missing") == "yes"
