"""The register of welders, and the page of one."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from joints.queries.lapsing import ORDERS, WITHIN, lapsing, lapsing_table, next_lapse
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


# A page shows so many; the file has all.
MOST_LAPSING = 500


@on_job(get="read")
def show_lapsing(request: JobRequest) -> HttpResponse:
    """Show whose processes lapse within 30, 60 or 90 days, in the order asked for."""
    within, order = _lapsing_asked(request)
    rows = lapsing(request.job, within_days=within, order=order)
    context = {
        "rows": rows[:MOST_LAPSING],
        "count": len(rows),
        "within": within,
        "order": order,
        "choices": WITHIN,
        "columns": _COLUMNS,
        "asked": urlencode({"within": within, "order": order}),
        "source": range_sources()["continuity"],
        "next": None if rows else next_lapse(request.job),
    }
    return render(request, "joints/lapsing.html", context)


@on_job(get="read")
def send_lapsing(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the same list as a file."""
    within, order = _lapsing_asked(request)
    return send_list(lapsing_table(request.job, within_days=within, order=order), request.job.code, form)


_COLUMNS = (("stamp", "Stamp"), ("name", "Name"), ("employer", "Employer"), ("process", "Process"))


def _lapsing_asked(request: JobRequest) -> tuple[int, str]:
    within, order = clean(request.GET.get("within"), 4), clean(request.GET.get("order"), 12)
    return (int(within) if within in map(str, WITHIN) else WITHIN[0]), (order if order in ORDERS else "day")
