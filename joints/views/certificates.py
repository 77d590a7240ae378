"""The page of a certificate: what stands on it, its file, and attaching one."""

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from joints.actions.attach_certificate import attach_certificate
from joints.attached_files import ACCEPTED, MOST_BYTES
from joints.queries.heats import certificate_shown, with_same_file
from records.access import JobRequest, on_job
from records.models import Certificate
from records.paging import clean
from records.refusals import Fault, Refusal


@on_job(get="read", post="plan")
def show_certificate(request: JobRequest, certificate: UUID) -> HttpResponse:
    """Show a certificate, or attach its PDF and show it again."""
    found = get_object_or_404(Certificate, job=request.job, id=certificate)
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        try:
            _attach(request, found)
        except Refusal as refusal:
            faults = refusal.faults or (Fault("file", refusal.message),)
            found.refresh_from_db()
        else:
            messages.success(request, f"{found.file_name} is attached.{_also(found)}")
            return redirect(request.path)
    context = {
        "page": certificate_shown(found),
        "certificate": found,
        "faults": faults,
        "at_file": [fault for fault in faults if fault.field == "file"],
        "at_reason": [fault for fault in faults if fault.field == "reason"],
        "reason": clean(request.POST.get("reason"), 1000),
        "accepted": ACCEPTED,
    }
    return render(request, "joints/certificate.html", context, status=422 if faults else 200)


def _also(certificate: Certificate) -> str:
    """Say where the same file stands as well: allowed, since one paper may hold many heats, and easily a slip."""
    others = ", ".join(one.number for one in with_same_file(certificate))
    return f" The same file is attached to {others} too; one PDF may hold many heats." if others else ""


@on_job(get="read")
def send_certificate(request: JobRequest, certificate: UUID) -> FileResponse:
    """Send the file, as something to save and never as something to run."""
    found = get_object_or_404(Certificate, job=request.job, id=certificate)
    if not found.file:
        raise Http404("This certificate has no file yet.")
    response = FileResponse(found.file.open("rb"), as_attachment=True, filename=found.file_name)
    response["Content-Type"] = "application/pdf"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _attach(request: JobRequest, certificate: Certificate) -> None:
    """Read no more than can be accepted: one byte too many is enough to refuse it."""
    sent = request.FILES.get("file")
    content = sent.read(MOST_BYTES + 1) if sent else b""
    name = clean(sent.name, 200) if sent and sent.name else f"{certificate.number}.pdf"
    reason = clean(request.POST.get("reason"), 1000)
    attach_certificate(certificate, content, name, job=request.job, by=request.user, reason=reason)
