"""Taking an import back: what it wrote, what was built on it since, a reason, and the batch of withdrawals."""

from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render

from office.actions.undo_import import ask_undo
from office.queries.imports import APPLY, import_of
from office.queries.undoing import undo_of, undoable
from records.access import JobRequest, on_job
from records.paging import clean
from records.refusals import Fault, Implausible


@on_job(get="undo import", post="undo import")
def show_undo(request: JobRequest, applied: UUID) -> HttpResponse:
    """Show what of an import can be taken back; a POST with a reason takes it back."""
    work = import_of(request.job, applied)
    if work is None or work.kind != APPLY or work.state != "done" or "head" not in work.result:
        raise Http404("There is no such import.")
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        try:
            asked = ask_undo(work, request.POST.get("reason", ""), job=request.job, by=request.user)
        except Implausible as refusal:
            faults = refusal.faults or (Fault("", refusal.message),)
        else:
            return redirect("import", code=request.job.code, imported=asked.id)
    context = {"work": work, "found": undoable(work), "undo": undo_of(work), "faults": faults}
    context["reason"] = clean(request.POST.get("reason"), 500)
    return render(request, "office/import_undo.html", context, status=422 if faults else 200)
