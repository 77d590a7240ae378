"""The route of a sheet: to read, to change with what the change does shown first, and to apply."""

from dataclasses import dataclass
from difflib import SequenceMatcher
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from joints.actions.apply_route import apply_route
from joints.queries.bare_joints import without_procedure
from joints.queries.route_lengths import OtherLength
from joints.queries.routes import Proposal, propose, route_of
from joints.views.record_page import SeeOther
from office.forms.route_steps import MOST_ROWS, StepRow, changed_rows, rows_of, rows_sent, text_of
from office.queries.imports import route_of_model
from office.queries.paper.spool_sheets import weight_words
from office.queries.route_drawing import route_svgs
from records.access import JobRequest, on_job
from records.models import Route, Sheet
from records.refusals import RecordClash, Refusal
from rules.route.grammar import ITEMS
from rules.route.shape import PipePiece, RouteShape, SpoolShape
from rules.route.written import length_text

_FIRST = "start at E 0 N 0 EL 0\n"


@dataclass(frozen=True, slots=True)
class Typed:
    """A route as somebody types it: its text, and its rows where they are edited; `at` is the row to go on at."""

    text: str
    rows: tuple[StepRow, ...] | None = None
    at: int = 0


@dataclass(frozen=True, slots=True)
class FaultShown:
    """A fault with the line it speaks of, and a mark under its place."""

    line: int
    column: int
    message: str
    text: str
    mark: str


@on_job(get="read", post="plan")
def show_route(request: JobRequest, sheet: UUID) -> HttpResponse:
    """Show a sheet's route; a sent one is looked at, grows by a step, or is applied."""
    found = get_object_or_404(Sheet.objects.select_related("line", "job"), job=request.job, id=sheet)
    route = route_of(found)
    if request.method != "POST":
        if "model" in request.GET and "plan" in request.verbs:
            text = route_of_model(request.job, request.GET["model"], request.GET.get("number", ""))
            if text is not None:
                return _page(request, found, route, _shown(text), is_looked_at=True)
        if request.GET.get("as") == "text":
            return _page(request, found, route, Typed(route.text if route else _FIRST))
        return _page(request, found, route, _shown(route.text if route else _FIRST))
    do = request.POST.get("do", "")
    typed = _typed(request, do)
    if do != "apply":
        return _page(request, found, route, typed, is_looked_at=True)
    return _apply(request, found, route, typed)


def _shown(text: str) -> "Typed":
    """A route as rows, or as text where it has too many of them."""
    rows = rows_of(text)
    return Typed(text) if len(rows) > MOST_ROWS else Typed(text_of(rows), tuple(rows))


def _typed(request: JobRequest, do: str) -> "Typed":
    """The route as it was sent: as text or as rows, changed or turned into the other where that was asked."""
    if "text" in request.POST:
        text = request.POST["text"].replace("\r\n", "\n")
        rows = rows_of(text)
        return Typed(text_of(rows), tuple(rows)) if do == "as steps" and len(rows) <= MOST_ROWS else Typed(text)
    rows, at = changed_rows(rows_sent(request.POST, request.job.units), do)
    text = text_of(rows)
    return Typed(text) if do == "as text" or len(rows) > MOST_ROWS else Typed(text, tuple(rows), at)


def _apply(request: JobRequest, sheet: Sheet, route: Route | None, typed: "Typed") -> HttpResponse:
    said = {name: request.POST.get(name, "") for name in ("base", "revision", "reason")}
    try:
        done = apply_route(sheet, typed.text, by=request.user, **said)
    except Refusal as refusal:
        return _page(request, sheet, route, typed, refusal=refusal, is_looked_at=True)
    many = len(done.shape.joints)
    messages.success(request, f"The route is applied: {many} {'joint' if many == 1 else 'joints'} on this sheet.")
    if bare := without_procedure(request.job).filter(sheet=sheet).count():
        names = f"{bare} of them {'names' if bare == 1 else 'name'} no procedure yet"
        address = reverse("procedures", args=[request.job.code])
        told = '{}: <a href="{}">the page of a procedure</a> gives it to them.'
        messages.warning(request, format_html(told, names, address))
    return SeeOther(reverse("route", args=[request.job.code, sheet.pk]))


def _page(
    request: JobRequest,
    sheet: Sheet,
    route: Route | None,
    typed: "Typed",
    *,
    refusal: Refusal | None = None,
    is_looked_at: bool = False,
) -> HttpResponse:
    text = typed.text
    proposal = propose(sheet, text, route=route)
    shape = proposal.numbered
    # A starter is no route yet: its one line has nothing wrong with it.
    is_shown = is_looked_at or route is not None
    context = {
        "sheet": sheet,
        "route": route,
        "text": text,
        "refusal": refusal,
        "revision": request.POST.get("revision", sheet.revision),
        "reason": request.POST.get("reason", ""),
        "proposal": proposal,
        "is_looked_at": is_looked_at,
        "faults": _faults(proposal, text) if is_shown else [],
        "shape": shape,
        "cuts": [_cut(one, request.job.units) for one in shape.pipes],
        "spools": [_spool(one, request.job.units) for one in shape.spools],
        "drawings": _drawings(request, sheet, shape),
        "items": ITEMS.values(),
        "typed": typed,
        "unlike": _unlike(route, text) if isinstance(refusal, RecordClash) else [],
        "most_rows": MOST_ROWS if typed.rows is None and len(rows_of(text)) > MOST_ROWS else 0,
        "lengths": [_length(one, request.job.units) for one in proposal.other_lengths],
        "changed": [one for one in proposal.changes if one.fate != "kept" or one.changes],
        "kept": sum(one.fate == "kept" and not one.changes for one in proposal.changes),
    }
    return render(request, "office/route.html", context, status=refusal.status if refusal else 200)


def _unlike(route: Route | None, text: str) -> list[str]:
    """The lines of the route that stands now which the typed one has not: somebody else may have applied them."""
    stands, typed = (
        [" ".join(line.split()) for line in one.splitlines()] for one in (route.text if route else "", text)
    )
    # Line by line: to look for likeness within lines, too, takes as their number cubed.
    blocks = SequenceMatcher(None, stands, typed, autojunk=False).get_opcodes()
    gone = [line for how, start, stop, _, _ in blocks if how in ("replace", "delete") for line in stands[start:stop]]
    return [line for line in gone if line]


def _faults(proposal: Proposal, text: str) -> list[FaultShown]:
    lines = text.splitlines()
    found = []
    for one in proposal.shape.faults:
        line = lines[one.line - 1] if one.line <= len(lines) else ""
        found.append(FaultShown(one.line, one.column, one.message, line, " " * (one.column - 1) + "^"))
    return found


def _drawings(request: JobRequest, sheet: Sheet, shape: RouteShape) -> list[SafeString]:
    # The pen escapes every text; nothing else in it was written by a person.
    return [mark_safe(one) for one in route_svgs(sheet, shape, by=request.user)]


@dataclass(frozen=True, slots=True)
class CutShown:
    """A length of pipe with its cut length in words."""

    one: PipePiece
    length: str


@dataclass(frozen=True, slots=True)
class SpoolShown:
    """A spool with its size and weight in words."""

    one: SpoolShape
    size: str
    weight: str


@dataclass(frozen=True, slots=True)
class LengthShown:
    """A pipe that is cut to another length, in words: what is done on it already, empty where nothing is."""

    mark: str
    lengths: str
    begun: str


def _length(one: OtherLength, units: str) -> LengthShown:
    lengths = f"{length_text(one.now_mm, units)} instead of {length_text(one.before_mm, units)}"
    return LengthShown(one.mark, lengths, ", ".join(f"joint {number} {state}" for number, state in one.begun))


def _cut(one: PipePiece, units: str) -> CutShown:
    return CutShown(one, length_text(one.cut_mm, units))


def _spool(one: SpoolShape, units: str) -> SpoolShown:
    size = " x ".join(length_text(side, units) for side in one.size_mm)
    return SpoolShown(one, size, weight_words(one.weight_kg, units))
