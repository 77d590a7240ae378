"""The register of welders, and the page of one."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from joints.queries.lapsing import lapsing
from joints.queries.welders import SOON_DAYS, range_sources, welder_page, welders_page
from joints.queries.welders_table import welders_table
from joints.queries.welding_papers import qualifications_of
from records.access import JobRequest, on_job
from records.models import Stamp
from records.paging import clean, keys_asked
from records.sending import send_list


@on_job(get="read")
def show_welders(request: JobRequest) -> HttpResponse:
    """Show the register, what lapses soon first."""
    search = clean(request.GET.get("search"))
    after, before = keys_asked(request.GET)
    page = welders_page(request.job, search=search, after=after, before=before)
    soon = lapsing(request.job, within_days=SOON_DAYS)
    context = {"page": page, "search": search, "lapsing": soon, "days": SOON_DAYS}
    context["asked"] = urlencode({"search": search}) if search else ""
    return render(request, "joints/welders.html", context)


@on_job(get="read")
def send_welders(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the register as a file, one row a qualification."""
    return send_list(welders_table(request.job, search=clean(request.GET.get("search"))), request.job.code, form)


@on_job(get="read")
def show_welder(request: JobRequest, stamp: UUID) -> HttpResponse:
    """Show one welder's qualifications with their ranges, and what they welded."""
    found = get_object_or_404(Stamp.objects.select_related("welder", "job"), job=request.job, id=stamp)
    page = welder_page(found)
    context = {"page": page, "welder": page.welder, "sources": range_sources(), "records": qualifications_of(found)}
    return render(request, "joints/welder.html", context)
