"""The pages of spools: the list, one spool, and the form of its next step."""

from urllib.parse import urlencode
from uuid import UUID

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from joints.actions.record_spool_steps import SIGNED, record_spool_steps
from joints.forms.spool_step_form import SpoolStepForm
from joints.next_step import Steps
from joints.queries.names_to_choose import names_to_choose
from joints.queries.shop_tables import spools_table
from joints.queries.spools import SpoolsWanted, spool_shown, spools_page
from joints.views.card_actions import Act
from joints.views.pieces import piece_lines
from joints.views.shop_page import mended, replaced_by, shop_page, withdraw_page
from joints.views.weld_log import log_lines
from records.access import JobRequest, on_job
from records.models import Spool, SpoolStep
from records.models.line import SPOOL_STATES
from records.models.shop import STEPS
from records.paging import keys_asked
from records.sending import send_list
from records.templatetags.spoolbook import person
from rules.spools import CHECK, RELEASED, next_of

DEEDS = {
    "dimensional check": "Record the dimensional check",
    "cleaned": "Record cleaning",
    "coated": "Record coating",
    "released": "Release spool",
    "shipped": "Record shipping",
    "received": "Record receipt on site",
    "erected": "Record erection",
}
CAUTIONS = {
    "cleaned": ("No chlorinated cleaner near an arc. Solvents burn, and their vapour gathers in a closed pipe.",),
    "coated": ("Coating material burns and its fume harms: follow its safety data sheet.",),
    "shipped": ("A spool's weight in a list is not a lifting plan.",),
    "erected": ("A spool's weight in a list is not a lifting plan.",),
}  # fmt: skip


@on_job(get="read")
def show_spools(request: JobRequest) -> HttpResponse:
    """Show one page of spools."""
    wanted = SpoolsWanted.read(request.GET)
    after, before = keys_asked(request.GET)
    context = {
        "page": spools_page(request.job, wanted, after=after, before=before),
        "wanted": wanted,
        "given": wanted.given(),
        "asked": urlencode(wanted.given()),
        "line_choices": names_to_choose(request.job)[0],
        "states": SPOOL_STATES,
    }
    return render(request, "joints/spools.html", context)


@on_job(get="read")
def send_spools(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the spools that match as a file."""
    return send_list(spools_table(request.job, SpoolsWanted.read(request.GET)), request.job.code, form)


@on_job(get="read")
def show_spool(request: JobRequest, spool: UUID) -> HttpResponse:
    """Show a spool: its joints, pieces and steps, what is out of order, what is missing, and what can follow."""
    shown = spool_shown(request.job, _spool(request, spool))
    form = reverse("spool-step-record", args=[request.job.code, spool])
    may = [one for one in STEPS if _may(request, one)]
    main = shown.next_step if shown.next_step in may else ""
    deeds = {one: Act(DEEDS[one], f"{form}?{urlencode({'step': one})}") for one in may}
    context = {
        "page": shown,
        "spool": shown.spool,
        "lines": log_lines(shown.joints, Steps(request.job, request.verbs)),
        "pieces": piece_lines(shown.pieces),
        "entries": mended(request, shown.entries, verb="record spool", correct=form, withdraw="spool-step-withdraw"),
        "main": deeds.get(main),
        "others": [act for one, act in deeds.items() if one != main],
        "waits": _waits(shown.next_step),
    }
    return render(request, "joints/spool.html", context)


def _waits(step: str) -> str:
    """What a spool waits for, where whoever looks at it can't record that."""
    who = "the inspector" if step in (CHECK, RELEASED) else "the shop or the site"
    return f"Next: {step}, by {who}." if step else "Nothing is left to do on this spool."


@on_job(get="record spool", post="record spool")
def record_spool_step(request: JobRequest, spool: UUID) -> HttpResponse:
    """Record a step of a spool, by default by whoever signed in."""
    found = _spool(request, spool)
    replaced = replaced_by(request, SpoolStep, spool=found)
    asked = request.POST.get("step") or request.GET.get("step")
    step = replaced.step if replaced else asked if asked in STEPS else next_of(found.state)
    form = SpoolStepForm(
        request.POST or None, spool=found, step=step, job=request.job, name=person(request.user), replaced=replaced
    )
    title = f"Correct: {step}" if replaced else DEEDS[step]
    shown = spool_shown(request.job, found) if step in ("released", "shipped") and replaced is None else None
    return shop_page(
        request,
        form,
        lambda: record_spool_steps([form.draft()], job=request.job, by=request.user),
        back=reverse("spool", args=[request.job.code, spool]),
        told="Recorded.",
        title=title,
        submit="Record the correction" if replaced else title,
        about=f"Spool {found.mark}",
        about_more=f"line {found.line.number}",
        missing=shown.missing if shown else (),
        cautions=CAUTIONS.get(step, ()),
        hidden={"step": step},
    )


@on_job(get="withdraw", post="withdraw")
def withdraw_spool_step(request: JobRequest, step: UUID) -> HttpResponse:
    """Withdraw a step of a spool."""
    rows = SpoolStep.objects.filter(job=request.job).select_related("spool", "recorded_by")
    record = get_object_or_404(rows, id=step)
    back = reverse("spool", args=[request.job.code, record.spool_id])
    return withdraw_page(request, record, record.spool_id, back=back, about=f"Spool {record.spool.mark}")


def _spool(request: JobRequest, spool: UUID) -> Spool:
    return get_object_or_404(Spool.objects.filter(job=request.job).select_related("line"), id=spool)


def _may(request: JobRequest, step: str) -> bool:
    return "record spool" in request.verbs and SIGNED.get(step, "record spool") in request.verbs
