"""The bill of material of a line, its cut list, and how its bars are cut."""

from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render

from joints.queries.routes import sheets_without_route
from office.queries.material import Asked, PlanShown, bill_rows, bill_table, cuts_of, cuts_table, cutting_plans, usual
from records.access import JobRequest, on_job
from records.models import Line
from records.paging import clean
from records.refusals import Implausible
from records.sending import send_list


@on_job(get="read")
def show_bill(request: JobRequest, line: UUID) -> HttpResponse:
    """Show the bill of material of a line by sheet and spool, and its totals."""
    found = _line(request, line)
    rows, sums = bill_rows(found)
    context = {"line": found, "rows": rows, "totals": sums, "without": sheets_without_route(found)}
    return render(request, "office/bill.html", context)


@on_job(get="read")
def send_bill(request: JobRequest, line: UUID, form: str) -> HttpResponseBase:
    """Send the bill as a file."""
    return send_list(bill_table(_line(request, line)), request.job.code, form)


@on_job(get="read")
def show_cuts(request: JobRequest, line: UUID) -> HttpResponse:
    """Show the lengths to cut for a line, and a cutting plan for bars as they are asked for."""
    found = _line(request, line)
    cuts = cuts_of(found)
    first = usual(request.job.units)
    names = ("bar", "kerf", "usable", "rests")
    asked = Asked(*(clean(request.GET.get(name)) or getattr(first, name) for name in names))
    refusal: Implausible | None = None
    plans: tuple[PlanShown, ...] = ()
    try:
        plans = cutting_plans(cuts, asked, request.job.units)
    except Implausible as refused:
        refusal = refused
    context = {"line": found, "cuts": cuts, "asked": asked, "plans": plans, "refusal": refusal}
    context["without"] = sheets_without_route(found)
    return render(request, "office/cut_list.html", context, status=refusal.status if refusal else 200)


@on_job(get="read")
def send_cuts(request: JobRequest, line: UUID, form: str) -> HttpResponseBase:
    """Send the cut list as a file."""
    return send_list(cuts_table(_line(request, line)), request.job.code, form)


def _line(request: JobRequest, line: UUID) -> Line:
    return get_object_or_404(Line.objects.select_related("job"), job=request.job, id=line)
