"""The pages of procedures and qualifications with their papers: to read, to attach, to fetch."""

from urllib.parse import urlencode
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from joints.actions.attach_paper import attach_paper
from joints.actions.give_procedure import give_procedure
from joints.attached_files import ACCEPTED, MOST_BYTES
from joints.queries.bare_joints import MOST, alike, bare_joints
from joints.queries.procedure_ranges import ProcedureRange
from joints.queries.welding_papers import papers_of, procedure_shown, procedures_page
from records.access import JobRequest, on_job
from records.models import Attachment, Procedure, Qualification
from records.paging import clean, keys_asked
from records.refusals import Fault, Refusal
from reports.procedure_range import range_picture
from reports.progress_curve import picture_svg

# A picture for the desk, and one for a phone with letters of the same height.
_WIDE, _NARROW = 560.0, 350.0


@on_job(get="read")
def show_procedures(request: JobRequest) -> HttpResponse:
    """Show one page of procedures, with which of their papers are there."""
    search = clean(request.GET.get("search"))
    after, before = keys_asked(request.GET)
    page = procedures_page(request.job, search=search, after=after, before=before)
    asked = urlencode({"search": search}) if search else ""
    return render(request, "joints/procedures.html", {"page": page, "search": search, "asked": asked})


@on_job(get="read", post="plan")
def show_procedure(request: JobRequest, procedure: UUID) -> HttpResponse:
    """Show a procedure with its papers, or attach one of them."""
    found = get_object_or_404(Procedure, job=request.job, id=procedure)
    faults = _attached(request, found)
    if request.method == "POST" and not faults:
        return redirect(request.path)
    page = procedure_shown(request.job, found)
    pictures = {"wide": _drawn(page.range, _WIDE, "is-wide"), "narrow": _drawn(page.range, _NARROW, "is-narrow")}
    context = {"page": page, "procedure": found} | pictures | _form(request, faults)
    return render(request, "joints/procedure.html", context, status=422 if faults else 200)


@on_job(get="plan", post="plan")
def give_to_joints(request: JobRequest, procedure: UUID) -> HttpResponse:
    """Show the joints that name no procedure, and give this one to those that are chosen."""
    found = get_object_or_404(Procedure, job=request.job, id=procedure)
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        chosen = [one for key in request.POST.getlist("joints")[:MOST] if (one := alike(key))]
        try:
            given = give_procedure(found, chosen, job=request.job, by=request.user)
        except Refusal as refusal:
            faults = tuple(refusal.faults) or (Fault("joints", refusal.message),)
        else:
            messages.success(
                request, f"{'1 joint names' if given == 1 else f'{given} joints name'} {found.number} now."
            )
            return redirect("procedure", code=request.job.code, procedure=found.id)
    context = {"procedure": found, "rows": bare_joints(request.job, found), "most": MOST, "faults": faults}
    return render(request, "joints/procedure_joints.html", context, status=422 if faults else 200)


@on_job(get="read", post="plan")
def show_qualification(request: JobRequest, qualification: UUID) -> HttpResponse:
    """Show a qualification's record, or attach it."""
    rows = Qualification.objects.filter(job=request.job).select_related("stamp__welder")
    found = get_object_or_404(rows, id=qualification)
    faults = _attached(request, found)
    if request.method == "POST" and not faults:
        return redirect(request.path)
    context = {"papers": papers_of(found), "qualification": found} | _form(request, faults)
    return render(request, "joints/qualification.html", context, status=422 if faults else 200)


@on_job(get="read")
def send_attachment(request: JobRequest, attachment: UUID) -> FileResponse:
    """Send the file, as something to save and never as something to run."""
    found = get_object_or_404(Attachment, job=request.job, id=attachment)
    response = FileResponse(found.file.open("rb"), as_attachment=True, filename=found.file_name)
    response["Content-Type"] = "application/pdf"
    response["X-Content-Type-Options"] = "nosniff"
    return response


def _drawn(covers: ProcedureRange, wide: float, kind: str) -> str:
    return picture_svg(range_picture(covers.picture, covers.picture_words, wide=wide), f"range {kind}")


def _attached(request: JobRequest, of: Procedure | Qualification) -> tuple[Fault, ...]:
    """Attach what was sent, and return why it was not taken; nothing where nothing was sent.

    No more is read than can be accepted: one byte too many is enough to refuse it.
    """
    if request.method != "POST":
        return ()
    sent = request.FILES.get("file")
    content = sent.read(MOST_BYTES + 1) if sent else b""
    kind = clean(request.POST.get("kind"), 20)
    name = clean(sent.name, 200) if sent and sent.name else f"{kind}.pdf"
    reason = clean(request.POST.get("reason"), 1000)
    try:
        row = attach_paper(of, kind, content, name, job=request.job, by=request.user, reason=reason)
    except Refusal as refusal:
        return tuple(refusal.faults) or (Fault("file", refusal.message),)
    messages.success(request, f"{row.file_name} is attached as the {kind}.")
    return ()


def _form(request: JobRequest, faults: tuple[Fault, ...]) -> dict[str, object]:
    """What the form of the papers needs; a refused one says again what was typed, under its own paper."""
    return {
        "faults": faults,
        "kind": clean(request.POST.get("kind"), 20),
        "reason": clean(request.POST.get("reason"), 1000),
        "accepted": ACCEPTED,
    }
