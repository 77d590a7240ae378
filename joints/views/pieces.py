"""The pages of pieces: the list, one piece with its life, and the form of what happens to it."""

from dataclasses import dataclass
from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.safestring import SafeString

from joints.actions.cut_piece import cut_piece
from joints.actions.record_piece_events import record_piece_events
from joints.forms.piece_event_form import PieceEventForm
from joints.next_step import Steps
from joints.queries.names_to_choose import names_to_choose
from joints.queries.pieces import PieceRow, PiecesWanted, piece_shown, pieces_page
from joints.queries.shop_history import EVENT_TITLES
from joints.queries.shop_tables import pieces_table
from joints.views.card_actions import Act
from joints.views.shop_page import mended, replaced_by, shop_page, withdraw_page
from joints.views.weld_log import log_lines, mark
from records.access import JobRequest, on_job
from records.models import Piece, PieceEvent
from records.models.material import PIECE_STATES
from records.models.shop import EVENTS, PARTING
from records.paging import keys_asked
from records.sending import send_list
from records.shop_facts import open_holds
from records.templatetags.spoolbook import person
from rules.pieces import OFF_HOLD, lifting, next_events

DEEDS = {
    "received": "Record its receipt",
    "on hold": "Put on hold",
    "off hold": "Take off hold",
    "issued": "Issue",
    "cut": "Cut into parts",
    "returned": "Return to stock",
    "scrapped": "Scrap",
    "split": "Split by a cut-out",
}


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece of the list with the rings of its joints."""

    row: PieceRow
    joints: tuple[tuple[UUID, str, str, SafeString], ...]


@on_job(get="read")
def show_pieces(request: JobRequest) -> HttpResponse:
    """Show one page of pieces."""
    wanted = PiecesWanted.read(request.GET)
    after, before = keys_asked(request.GET)
    page = pieces_page(request.job, wanted, after=after, before=before)
    context = {
        "page": page,
        "lines": piece_lines(page.rows),
        "wanted": wanted,
        "given": wanted.given(),
        "asked": urlencode(wanted.given()),
        "line_choices": names_to_choose(request.job)[0],
        "states": PIECE_STATES,
    }
    return render(request, "joints/pieces.html", context)


@on_job(get="read")
def send_pieces(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the pieces that match as a file."""
    return send_list(pieces_table(request.job, PiecesWanted.read(request.GET)), request.job.code, form)


def piece_lines(rows: tuple[PieceRow, ...]) -> list[PieceLine]:
    """Give each row the rings of its joints."""
    return [
        PieceLine(row, tuple((one.id, one.number, one.state, mark(one.state, one.progress, one.attempts))
                             for one in row.joints))
        for row in rows
    ]  # fmt: skip


@on_job(get="read")
def show_piece(request: JobRequest, piece: UUID) -> HttpResponse:
    """Show a piece: what it was cut from and into, its joints, what happened to it, and what can follow."""
    shown = piece_shown(request.job, _piece(request, piece))
    form = reverse("piece-event-record", args=[request.job.code, piece])
    likely = [one for one in next_events(shown.piece.state) if _may(request, one)]
    deeds = [Act(DEEDS[one], f"{form}?{urlencode({'event': one})}") for one in likely]
    rest = [one for one in EVENTS if one not in likely and _may(request, one)]
    context = {
        "page": shown,
        "piece": shown.piece,
        "lines": log_lines(shown.joints, Steps(request.job, request.verbs)),
        "entries": mended(request, shown.entries, verb="record piece", correct=form, withdraw="piece-event-withdraw"),
        "main": deeds[0] if deeds else None,
        "others": deeds[1:],
        "late": [Act(DEEDS[one], f"{form}?{urlencode({'event': one})}") for one in rest],
    }
    return render(request, "joints/piece.html", context)


@on_job(get="record piece", post="record piece")
def record_piece_event(request: JobRequest, piece: UUID) -> HttpResponse:
    """Record what happened to a piece, by default by whoever signed in."""
    found = _piece(request, piece)
    replaced = replaced_by(request, PieceEvent, piece=found)
    asked = request.POST.get("event") or request.GET.get("event")
    event = replaced.event if replaced else asked if asked in EVENTS else (*next_events(found.state), "received")[0]
    lifts = {"remark": lifting(open_holds(request.job, found))} if event == OFF_HOLD and not replaced else None
    form = PieceEventForm(
        request.POST or None, piece=found, event=event, job=request.job, name=person(request.user), replaced=replaced,
        initial=lifts,
    )  # fmt: skip

    def act() -> None:
        draft = form.draft()
        if event in PARTING and replaced is None:
            cut_piece(draft, form.marks(), job=request.job, by=request.user)
        else:
            record_piece_events([draft], job=request.job, by=request.user)

    title = f"Correct: {EVENT_TITLES[event].lower()}" if replaced else DEEDS[event]
    return shop_page(
        request,
        form,
        act,
        back=reverse("piece", args=[request.job.code, piece]),
        told="Recorded.",
        title=title,
        submit="Record the correction" if replaced else title,
        about=f"Piece {found.mark}",
        about_more=f"{found.sheet.drawing}, sheet {found.sheet.number} · line {found.sheet.line.number}"
        + (f" · heat {found.heat.number}" if found.heat else " · no heat known"),
        hidden={"event": event},
    )


@on_job(get="withdraw", post="withdraw")
def withdraw_piece_event(request: JobRequest, event: UUID) -> HttpResponse:
    """Withdraw an event of a piece."""
    rows = PieceEvent.objects.filter(job=request.job).select_related("piece", "part", "recorded_by")
    record = get_object_or_404(rows, id=event)
    back = reverse("piece", args=[request.job.code, record.piece_id])
    return withdraw_page(request, record, record.piece_id, back=back, about=f"Piece {record.piece.mark}")


def _piece(request: JobRequest, piece: UUID) -> Piece:
    rows = Piece.objects.filter(job=request.job).select_related("sheet__line", "heat__certificate")
    return get_object_or_404(rows, id=piece)


def _may(request: JobRequest, event: str) -> bool:
    return ("lift hold" if event == "off hold" else "record piece") in request.verbs
