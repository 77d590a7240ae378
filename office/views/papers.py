"""The papers of a job, drawn at the moment they are asked for."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from office.queries.lines import lines_page
from office.queries.lines_table import lines_table
from office.queries.list_papers import kinds_for
from office.queries.papers import findings_pdf, spool_sheets_pdf, weld_log_pdf, weld_map_pdf
from office.queries.scope import Scope
from records.access import JobRequest, on_job
from records.models import Line, Spool
from records.paging import clean, keys_asked
from records.sending import send_list, send_pdf
from reports.page import SIZES


@on_job(get="read")
def show_papers(request: JobRequest) -> HttpResponse:
    """List the papers: those of the whole job, and those of each line."""
    search = clean(request.GET.get("search"))
    after, before = keys_asked(request.GET)
    page = lines_page(request.job, search=search, after=after, before=before)
    asked = urlencode({"search": search}) if search else ""
    kinds, others = kinds_for(request.job)
    context = {"page": page, "search": search, "asked": asked, "kinds": kinds, "others": others}
    return render(request, "office/papers.html", context)


@on_job(get="read")
def send_lines(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the lines that match as a file."""
    return send_list(lines_table(request.job, search=clean(request.GET.get("search"))), request.job.code, form)


@on_job(get="read")
def send_weld_map(request: JobRequest, line: UUID) -> HttpResponse:
    """Send the weld map of a line; isometrics on the paper that the address names, as built if it says so."""
    found = get_object_or_404(Line, job=request.job, id=line)
    paper, as_built = clean(request.GET.get("paper")), bool(request.GET.get("as-built"))
    content = weld_map_pdf(
        request.job, found, by=request.user, paper=paper if paper in SIZES else "", as_built=as_built
    )
    return send_pdf(content, f"{request.job.code} {found.number} {'as-built' if as_built else 'weld'} map")


@on_job(get="read")
def send_weld_log(request: JobRequest) -> HttpResponse:
    """Send the weld log of the job, or of the line that the address names."""
    line = line_asked(request)
    name = f"{request.job.code} {line.number if line else ''} weld log"
    return send_pdf(weld_log_pdf(request.job, line, by=request.user), name)


@on_job(get="read")
def send_findings(request: JobRequest) -> HttpResponse:
    """Send the findings of the job, or of the line that the address names."""
    line = line_asked(request)
    name = f"{request.job.code} {line.number if line else ''} findings"
    return send_pdf(findings_pdf(request.job, line, by=request.user), name)


@on_job(get="read")
def send_spool_sheet(request: JobRequest, spool: UUID) -> HttpResponse:
    """Send the sheet of a spool."""
    found = get_object_or_404(Spool.objects.select_related("line"), job=request.job, id=spool)
    content = spool_sheets_pdf(Scope(request.job, spool=found), by=request.user)
    return send_pdf(content, f"{request.job.code} {found.mark} spool sheet")


@on_job(get="read")
def send_spool_sheets(request: JobRequest, line: UUID) -> HttpResponse:
    """Send the sheets of all spools of a line."""
    found = get_object_or_404(Line, job=request.job, id=line)
    content = spool_sheets_pdf(Scope(request.job, line=found), by=request.user)
    return send_pdf(content, f"{request.job.code} {found.number} spool sheets")


def line_asked(request: JobRequest) -> Line | None:
    """Return the line that the address names, or none. Raises Http404"""
    number = clean(request.GET.get("line"))
    return get_object_or_404(Line, job=request.job, number=number) if number else None
