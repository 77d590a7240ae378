"""The pages of lots: the list, one with its welds and what it asks next, and the form of a pick."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from inspection.actions.pick_joints import pick_joints
from inspection.forms.pick_form import PickForm
from inspection.queries.lots import LotsPage, lot_stored, lots_page, next_steps, welds_page
from joints.views.record_page import form_page, sent
from records.access import JobRequest, on_job
from records.models import Pick
from records.paging import clean
from records.templatetags.spoolbook import person
from rules.lots import Lot


@on_job(get="read")
def show_lots(request: JobRequest) -> HttpResponse:
    """Show one page of lots, those that ask for most first."""
    state = clean(request.GET.get("state"))
    after, before = (clean(request.GET.get(name), 400) for name in ("after", "before"))
    page: LotsPage = lots_page(request.job, state, after=after, before=before)
    context = {
        "page": page,
        "lines": [(lot, _address(request, "lot", lot.rule_id, lot.id)) for lot in page.rows],
        "state": state,
        "asked": urlencode({"state": state}) if state else "",
    }
    return render(request, "inspection/lots.html", context)


@on_job(get="read")
def show_lot(request: JobRequest, rule: UUID) -> HttpResponse:
    """Show a lot: what it asks, by which arithmetic, and a page of its welds."""
    lot = _lot(request, rule)
    after, before = (clean(request.GET.get(name), 40) for name in ("after", "before"))
    page = welds_page(lot, after=after, before=before)
    address = _address(request, "lot-pick", rule, _asked(request))
    context = {
        "lot": lot,
        "told": next_steps(lot),
        "page": page,
        "welds": [(one, reverse("joint", args=[request.job.code, UUID(one.id)])) for one in page.rows],
        "asked": urlencode({"of": _asked(request)}),
        "extras": [(one, f"{address}&{urlencode({'welder': one.welder})}") for one in lot.extras],
        "pick": address if "choose samples" in request.verbs else "",
    }
    return render(request, "inspection/lot.html", context)


@on_job(get="choose samples", post="choose samples")
def pick(request: JobRequest, rule: UUID) -> HttpResponse:
    """Draw or choose joints of a lot, for its sample or as the extras that a welder's reject asks for."""
    lot = _lot(request, rule)
    welder = clean(request.GET.get("welder"))
    if welder and welder not in {one.welder for one in lot.extras}:
        raise Http404("Nothing of this welder was rejected in the lot.")
    form = PickForm(sent(request), job=request.job, lot=lot, name=person(request.user), welder=welder)

    def act() -> None:
        # The same form sent again: what it drew is drawn.
        if not Pick.objects.filter(job=request.job, draw__startswith=f"seed {form.seed()},").exists():
            pick_joints(form.drafts(), job=request.job, by=request.user)

    return form_page(
        request,
        form,
        act,
        template="inspection/lot_pick.html",
        back=_address(request, "lot", rule, _asked(request)),
        told="Picked; the examination is due on these joints.",
        lot=lot,
        welder=welder,
        steps=next_steps(lot),
    )


def _lot(request: JobRequest, rule: UUID) -> Lot:
    lot = lot_stored(request.job, rule, _asked(request))
    if lot is None:
        raise Http404("There is no such lot.")
    return lot


def _asked(request: JobRequest) -> UUID:
    try:
        return UUID(request.POST.get("of") or request.GET.get("of") or "")
    except ValueError as error:
        raise Http404("There is no such lot.") from error


def _address(request: JobRequest, route: str, rule: UUID, lot: UUID) -> str:
    return f"{reverse(route, args=[request.job.code, rule])}?{urlencode({'of': lot})}"
