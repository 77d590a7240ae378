"""Papers printed at once, to save: weld map, weld log, findings."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.http import content_disposition_header

from office.queries.papers import findings_pdf, weld_log_pdf, weld_map_pdf
from records.access import JobRequest, on_job
from records.models import Line


@on_job(get="read")
def send_weld_map(request: JobRequest, line: UUID) -> HttpResponse:
    """Send the weld map of a line."""
    found = get_object_or_404(Line, job=request.job, id=line)
    return _paper(weld_map_pdf(request.job, found, by=request.user), f"{request.job.code}-{found.number}-weld-map")


@on_job(get="read")
def send_weld_log(request: JobRequest) -> HttpResponse:
    """Send the weld log of the job, or of the line that the address names."""
    line = _line_asked(request)
    return _paper(weld_log_pdf(request.job, line, by=request.user), _name(request, line, "weld-log"))


@on_job(get="read")
def send_findings(request: JobRequest) -> HttpResponse:
    """Send the findings of the job, or of the line that the address names."""
    line = _line_asked(request)
    return _paper(findings_pdf(request.job, line, by=request.user), _name(request, line, "findings"))


def _line_asked(request: JobRequest) -> Line | None:
    """The line named as ?line=NUMBER; none asks for the whole job, an unknown one is not found."""
    number = request.GET.get("line", "").strip()
    return get_object_or_404(Line, job=request.job, number=number) if number else None


def _name(request: JobRequest, line: Line | None, what: str) -> str:
    return "-".join(part for part in (request.job.code, line.number if line else "", what) if part)


def _paper(content: bytes, name: str) -> HttpResponse:
    """Something to save and never something to run."""
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = content_disposition_header(True, f"{name}.pdf") or "attachment"
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response
