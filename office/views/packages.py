"""Turnover packages: asking for one, watching it being built, and taking it away."""

from uuid import UUID

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from office.actions.build_package import KIND, ask_package, file_name
from office.queries.handover import missing_counts
from office.queries.packages import packages_of, work_under_way, works_of
from office.queries.scope import Scope, scope_of
from records.access import JobRequest, on_job
from records.models import Joint, Package, Work
from records.paging import clean
from records.refusals import Fault, Implausible


@on_job(get="read", post="build package")
def show_packages(request: JobRequest) -> HttpResponse:
    """List the packages, or ask for a new one and go to where its progress shows."""
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        try:
            scope = scope_of(request.job, clean(request.POST.get("scope")) or "job", clean(request.POST.get("which")))
        except Implausible as refusal:
            faults = (Fault("which", refusal.message),)
        else:
            return redirect("package-work", code=request.job.code, work=_asked(request, scope))
    missing = missing_counts(request.job)
    context = {
        "packages": packages_of(request.job),
        "works": works_of(request.job, KIND),
        "missing": missing,
        "is_empty": not missing and not Joint.objects.filter(job=request.job).exists(),
        "faults": faults,
        "scope": clean(request.POST.get("scope")) or "job",
        "which": clean(request.POST.get("which")),
        "scopes": (("job", "the whole job"), ("line", "one line"), ("spool", "one spool")),
    }
    return render(request, "office/packages.html", context, status=422 if faults else 200)


@on_job(get="read")
def show_work(request: JobRequest, work: UUID) -> HttpResponse:
    """Show how far the building of a package is; with htmx only the part that changes."""
    found = get_object_or_404(Work.objects.select_related("asked_by"), job=request.job, id=work, kind=KIND)
    package = Package.objects.filter(job=request.job, id=found.id).first() if found.state == "done" else None
    template = "office/_package_work.html" if request.htmx and not request.htmx.boosted else "office/package_work.html"
    return render(request, template, {"work": found, "package": package})


@on_job(get="read")
def send_package(request: JobRequest, package: UUID) -> FileResponse:
    """Send a package."""
    found = get_object_or_404(Package, job=request.job, id=package)
    return _file(found.file, file_name(request.job, found.scope), "application/pdf")


@on_job(get="read")
def send_manifest(request: JobRequest, package: UUID) -> FileResponse:
    """Send the sums of a package and of the certificates in it."""
    found = get_object_or_404(Package, job=request.job, id=package)
    return _file(found.manifest, "manifest.txt", "text/plain; charset=utf-8")


def _asked(request: JobRequest, scope: Scope) -> UUID:
    """The work that builds this package: one under way already, so that a second press asks for nothing twice."""
    same = work_under_way(request.job, KIND, {"scope": scope.kind, "of": str(scope.id or "")})
    return same or ask_package(scope, job=request.job, by=request.user).id


def _file(file: FieldFile, name: str, kind: str) -> FileResponse:
    """Something to save and never something to run. Raises Http404 where the storage has lost the file."""
    try:
        stream = file.open("rb")
    except FileNotFoundError as gone:
        raise Http404("The file of this package is gone from the storage.") from gone
    response = FileResponse(stream, as_attachment=True, filename=name)
    response["Content-Type"] = kind
    response["X-Content-Type-Options"] = "nosniff"
    return response
