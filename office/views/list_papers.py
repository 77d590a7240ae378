"""Logs, reports, registers and releases: each as a page, and as the PDF of the same tables."""

from datetime import date
from urllib.parse import urlencode
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from office.queries.list_papers import KINDS, MOST, Asked, Kind, paper_pdf, paper_shown
from office.queries.scope import Scope
from office.views.papers import line_asked
from records.access import JobRequest, on_job
from records.models import Spool
from records.paging import clean
from records.sending import send_pdf


@on_job(get="read")
def show_paper(request: JobRequest, paper: str) -> HttpResponse:
    """Show a paper of the job, or of the line that the address names."""
    kind, scope, asked = _kind(paper), Scope(request.job, line=line_asked(request)), _asked(request)
    said = {"line": scope.line.number if scope.line else "", "report": asked.report, "day": _day(asked)}
    given = {name: value for name, value in said.items() if value}
    pdf = reverse("paper-pdf", args=[request.job.code, paper]) + (f"?{urlencode(given)}" if given else "")
    shown = paper_shown(scope, kind, asked, by=request.user)
    context = {"paper": shown, "kind": kind, "said": said, "given": given, "pdf": pdf, "most": MOST}
    return render(request, "office/paper.html", context)


@on_job(get="read")
def send_paper(request: JobRequest, paper: str) -> HttpResponse:
    """Send a paper of the job, or of the line that the address names, as a PDF."""
    kind, scope, asked = _kind(paper), Scope(request.job, line=line_asked(request)), _asked(request)
    of = " ".join(part for part in (scope.line.number if scope.line else "", asked.report, _day(asked)) if part)
    name = " ".join(part for part in (request.job.code, of, kind.title.lower()) if part)
    return send_pdf(paper_pdf(scope, kind, asked, by=request.user), name)


@on_job(get="read")
def show_release(request: JobRequest, spool: UUID) -> HttpResponse:
    """Show the release of a spool."""
    scope = _spool(request, spool)
    pdf = reverse("spool-release-pdf", args=[request.job.code, spool])
    shown = paper_shown(scope, None, Asked(), by=request.user)
    return render(request, "office/paper.html", {"paper": shown, "pdf": pdf, "most": MOST, "spool": scope.spool})


@on_job(get="read")
def send_release(request: JobRequest, spool: UUID) -> HttpResponse:
    """Send the release of a spool as a PDF."""
    scope = _spool(request, spool)
    return send_pdf(paper_pdf(scope, None, Asked(), by=request.user), f"{request.job.code} {scope.name} release")


def _kind(paper: str) -> Kind:
    if paper not in KINDS:
        raise Http404("There is no such paper.")
    return KINDS[paper]


def _spool(request: JobRequest, spool: UUID) -> Scope:
    return Scope(request.job, spool=get_object_or_404(Spool.objects.select_related("line"), job=request.job, id=spool))


def _asked(request: JobRequest) -> Asked:
    try:
        day = date.fromisoformat(clean(request.GET.get("day"), 10))
    except ValueError:
        day = None
    return Asked(clean(request.GET.get("report")), day)


def _day(asked: Asked) -> str:
    return asked.day.isoformat() if asked.day else ""
