"""The whole job as a workbook, and the empty workbook to fill in: asking, watching, taking away."""

from pathlib import Path
from tempfile import NamedTemporaryFile
from uuid import UUID

from django.core.files.storage import default_storage
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from office.actions.export_job import KIND, ask_export, file_name, is_small
from office.exporting.template import write_template
from office.exporting.workbook import export_workbook
from office.queries.packages import exports_of, work_under_way
from records.access import JobRequest, on_job
from records.models import Work
from records.sending import XLSX, safe_name, send_file


@on_job(get="read", post="build package")
def show_export(request: JobRequest) -> HttpResponse:
    """Say what a workbook of the job holds and offer it; or ask for one of a large job, and go to its progress."""
    if request.method == "POST":
        asked = work_under_way(request.job, KIND, {}) or ask_export(request.job, by=request.user).id
        return redirect("export-work", code=request.job.code, export=asked)
    context = {"is_small": is_small(request.job), "exports": exports_of(request.job, KIND)}
    return render(request, "office/export.html", context)


@on_job(get="read")
def send_export(request: JobRequest) -> HttpResponseBase:
    """Send the workbook of a small job as it is now; a large one is asked for on its page."""
    if not is_small(request.job):
        return redirect("export", code=request.job.code)
    with NamedTemporaryFile(prefix="spoolbook-", suffix=".xlsx") as file:
        export_workbook(request.job, Path(file.name))
        return send_file(Path(file.name), file_name(request.job))


@on_job(get="read")
def show_export_work(request: JobRequest, export: UUID) -> HttpResponse:
    """Show how far the writing of a workbook is; with htmx only the part that changes."""
    found = get_object_or_404(Work.objects.select_related("asked_by"), job=request.job, id=export, kind=KIND)
    template = "office/_export_work.html" if request.htmx and not request.htmx.boosted else "office/export_work.html"
    return render(request, template, {"work": found})


@on_job(get="read")
def send_export_file(request: JobRequest, export: UUID) -> FileResponse:
    """Send a workbook that was written in the background."""
    found = get_object_or_404(Work, job=request.job, id=export, kind=KIND, state="done")
    try:
        stream = default_storage.open(found.result.get("file") or "exports/none", "rb")
    except FileNotFoundError as gone:
        raise Http404("This workbook is no longer kept; ask for a new one.") from gone
    response = FileResponse(stream, as_attachment=True, filename=file_name(request.job), content_type=XLSX)
    response["X-Content-Type-Options"] = "nosniff"
    return response


@on_job(get="read")
def send_template(request: JobRequest) -> FileResponse:
    """Send the empty job workbook, with what each column takes as a note, in the job's units."""
    with NamedTemporaryFile(prefix="spoolbook-", suffix=".xlsx") as file:
        write_template(Path(file.name), request.job.units)
        return send_file(Path(file.name), f"{safe_name(request.job.code)}-template.xlsx")
