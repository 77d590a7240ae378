"""The pages of filler lots: who has what out, and the form of an issue or a return."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from joints.actions.record_lot_moves import record_lot_moves
from joints.forms.lot_move_form import LotMoveForm
from joints.queries.filler_lots import lot_shown, lots_page
from joints.queries.find_joint import stamps_of
from joints.queries.shop_tables import lots_table
from joints.views.card_actions import Act
from joints.views.record_page import stamps_to_choose
from joints.views.shop_page import mended, replaced_by, shop_page, withdraw_page
from records.access import JobRequest, on_job
from records.models import FillerLot, LotMove
from records.models.shop import MOVES
from records.paging import clean, keys_asked
from records.sending import send_list
from records.templatetags.spoolbook import person


@on_job(get="read")
def show_lots(request: JobRequest) -> HttpResponse:
    """Show one page of filler lots with the welders who have some of them out."""
    search = clean(request.GET.get("search"))
    after, before = keys_asked(request.GET)
    page = lots_page(request.job, search=search, after=after, before=before)
    asked = urlencode({"search": search}) if search else ""
    return render(request, "joints/filler_lots.html", {"page": page, "search": search, "asked": asked})


@on_job(get="read")
def send_lots(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the filler lots that match as a file."""
    return send_list(lots_table(request.job, search=clean(request.GET.get("search"))), request.job.code, form)


@on_job(get="read")
def show_lot(request: JobRequest, lot: UUID) -> HttpResponse:
    """Show a lot: who has what of it, and every move."""
    shown = lot_shown(request.job, _lot(request, lot))
    form = reverse("lot-move-record", args=[request.job.code, lot])
    may = "issue filler" in request.verbs
    context = {
        "page": shown,
        "lot": shown.lot,
        "entries": mended(request, shown.entries, verb="issue filler", correct=form, withdraw="lot-move-withdraw"),
        "main": Act("Issue to a welder", f"{form}?move=issued") if may else None,
        "others": [Act("Take back", f"{form}?move=returned")] if may else [],
    }
    return render(request, "joints/filler_lot.html", context)


@on_job(get="issue filler", post="issue filler")
def record_lot_move(request: JobRequest, lot: UUID) -> HttpResponse:
    """Record an issue or a return; a welder finds the own stamp filled in."""
    found = _lot(request, lot)
    replaced = replaced_by(request, LotMove, lot=found)
    asked, stamp = request.GET.get("move"), clean(request.GET.get("stamp"), 20)
    own = stamps_of(request.user, request.job)
    initial = {"move": asked if asked in MOVES else "issued", "stamp": stamp or (own[0].code if own else "")}
    form = LotMoveForm(
        request.POST or None,
        lot=found,
        job=request.job,
        name=person(request.user),
        replaced=replaced,
        initial=initial,
    )
    return shop_page(
        request,
        form,
        lambda: record_lot_moves([form.draft()], job=request.job, by=request.user),
        back=reverse("filler-lot", args=[request.job.code, lot]),
        told="Recorded.",
        title="Correct the move" if replaced else "Issue or take back",
        submit="Record the correction" if replaced else "Record",
        about=f"Lot {found.number}",
        about_more=found.classification,
        stamps=stamps_to_choose(request),
    )


@on_job(get="withdraw", post="withdraw")
def withdraw_lot_move(request: JobRequest, move: UUID) -> HttpResponse:
    """Withdraw a move of a lot."""
    rows = LotMove.objects.filter(job=request.job).select_related("lot", "stamp__welder", "recorded_by")
    record = get_object_or_404(rows, id=move)
    back = reverse("filler-lot", args=[request.job.code, record.lot_id])
    return withdraw_page(request, record, record.lot_id, back=back, about=f"Lot {record.lot.number}")


def _lot(request: JobRequest, lot: UUID) -> FillerLot:
    return get_object_or_404(FillerLot.objects.filter(job=request.job).select_related("certificate"), id=lot)
