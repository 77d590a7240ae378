"""Importing: sending a workbook in, reading what its check found, applying it, and watching it being written."""

from pathlib import PurePath
from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse

from office.actions.apply_workbook import ask_apply
from office.actions.check_workbook import ACCEPTED, ask_check, remarked
from office.actions.check_workbook import KIND as CHECK
from office.actions.read_model import ACCEPTED as MODEL_ACCEPTED
from office.actions.read_model import ask_model
from office.importing.ifc import SUFFIX as MODEL_SUFFIX
from office.queries.imports import (
    APPLY,
    MODEL,
    UNDO,
    alike_faults,
    all_faults,
    application_of,
    import_of,
    imports_of,
    in_two,
    listed,
    sheets_named,
    shown_rows,
    suggested,
    taken_back,
)
from office.queries.undoing import undo_of
from records.access import JobRequest, on_job
from records.models import Work
from records.paging import clean
from records.refusals import Fault, Implausible
from records.sending import XLSX, heads, safe_name, sent
from reports.spreadsheet import csv_lines

TEMPLATES = {
    CHECK: "office/import_check.html",
    APPLY: "office/import_applied.html",
    UNDO: "office/import_undone.html",
    MODEL: "office/import_model.html",
}
CSV = "text/csv; charset=utf-8"


@on_job(get="plan", post="plan")
def show_imports(request: JobRequest) -> HttpResponse:
    """List what was sent in, or take a file and go to where its check shows."""
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        file = request.FILES.get("file")
        if file is None:
            faults = (Fault("file", "No file was chosen.", f"{ACCEPTED}, or {MODEL_ACCEPTED}"),)
        else:
            ask = ask_model if (file.name or "").lower().endswith(MODEL_SUFFIX) else ask_check
            try:
                work = ask(file, file.name or "", job=request.job, by=request.user)
            except Implausible as refusal:
                faults = refusal.faults
            else:
                return redirect("import", code=request.job.code, imported=work.id)
    works = imports_of(request.job)
    undone = taken_back(works)
    context = {
        "works": [(one, str(one.id) in undone) for one in works],
        "faults": faults,
        "accepted": ACCEPTED,
        "model_accepted": MODEL_ACCEPTED,
        "check_kind": CHECK,
        "undo_kind": UNDO,
        "model_kind": MODEL,
    }
    return render(request, "office/imports.html", context, status=422 if faults else 200)


@on_job(get="plan", post="plan")
def show_import(request: JobRequest, imported: UUID) -> HttpResponse:
    """Show a check with what it found, or how the writing goes; a POST applies what was checked."""
    work = import_of(request.job, imported)
    if work is None:
        raise Http404("There is no such import.")
    faults: tuple[Fault, ...] = ()
    if request.method == "POST":
        try:
            applied = ask_apply(_checked(work), request.POST.get("reason", ""), job=request.job, by=request.user)
        except Implausible as refusal:
            faults = refusal.faults or (Fault("", refusal.message),)
        else:
            return redirect("import", code=request.job.code, imported=applied.id)
    if request.htmx and not request.htmx.boosted:
        # What was found fills a whole page; until then only the part that changes is sent.
        is_done = work.state == "done"
        found = HttpResponse(headers={"HX-Refresh": "true"})
        return found if is_done else render(request, "office/_import_work.html", {"work": work})
    context = {"work": work, "faults": faults, "reason": clean(request.POST.get("reason"), 500)}
    if work.kind == CHECK and work.state == "done":
        context |= _preview(request, work)
    if work.kind == MODEL and work.state == "done":
        held = _model(request, work)
        if isinstance(held, HttpResponse):
            return held
        context |= held
    if work.kind == APPLY:
        context |= {"undo": undo_of(work), "may_undo": "undo import" in request.verbs}
    return render(request, TEMPLATES[work.kind], context, status=422 if faults else 200)


@on_job(get="plan")
def send_remarks(request: JobRequest, imported: UUID) -> HttpResponseBase:
    """Send a small .xlsx back with a remark on each faulty cell; of any other file the faults as a list."""
    work = import_of(request.job, imported)
    if work is None or work.kind != CHECK or work.state != "done":
        raise Http404("There is no such check.")
    name = safe_name(f"{PurePath(work.arguments['name']).stem} with remarks")
    if work.result["faults"] and (content := remarked(work)):
        return sent([content], f"{name}.xlsx", XLSX)
    rows = ([one["sheet"], one["cell"], one["value"], one["message"]] for one in all_faults(work.result))
    return sent(csv_lines(heads("sheet", "cell", "it says", "what is wrong"), rows), f"{name}.csv", CSV)


def _checked(work: Work) -> Work:
    if work.kind != CHECK:
        raise Implausible("This was applied already; send the file in again to check it anew.")
    return work


def _preview(request: JobRequest, work: Work) -> dict[str, Any]:
    faults = alike_faults(work.result, _page(request, "page"))
    return {
        "fault_list": faults,
        "fault_rows": in_two(faults),
        "change_list": listed(work.result, "changes", _page(request, "changes")),
        "sheets": shown_rows(work.result),
        "application": application_of(work),
    }


def _model(request: JobRequest, work: Work) -> dict[str, Any] | HttpResponse:
    """What a model holds, with a sheet suggested for each route; the sheet that was chosen leads on to its route."""
    chosen, number = clean(request.GET.get("sheet"), 100), request.GET.get("route", "")
    sheets = sheets_named(request.job)
    if chosen and (sheet := sheets.get(chosen)):
        return redirect(f"{reverse('route', args=[request.job.code, sheet.id])}?model={work.id}&number={number}")
    routes = suggested(work.result["routes"], sheets)
    return {"routes": routes, "sheets": sheets, "chosen": chosen, "asked": number, "is_unknown": bool(chosen)}


def _page(request: JobRequest, name: str) -> int:
    said = request.GET.get(name, "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 7 else 1
