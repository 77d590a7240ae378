"""The files of a package that was built, to save."""

from uuid import UUID

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404

from office.actions.build_package import file_name
from records.access import JobRequest, on_job
from records.models import Package


@on_job(get="read")
def send_package(request: JobRequest, package: UUID) -> FileResponse:
    """Send the PDF."""
    found = get_object_or_404(Package, job=request.job, id=package)
    return _sent(found.file, file_name(request.job, found.scope), "application/pdf")


@on_job(get="read")
def send_manifest(request: JobRequest, package: UUID) -> FileResponse:
    """Send the list of SHA-256 sums."""
    found = get_object_or_404(Package, job=request.job, id=package)
    return _sent(found.manifest, "manifest.txt", "text/plain; charset=utf-8")


def _sent(file: FieldFile, name: str, kind: str) -> FileResponse:
    """Something to save and never something to run. Raises Http404 where the storage has lost the file."""
    try:
        stream = file.open("rb")
    except FileNotFoundError as gone:
        raise Http404("The file of this package is gone from the storage.") from gone
    response = FileResponse(stream, as_attachment=True, filename=name)
    response.headers["Content-Type"] = kind
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response
