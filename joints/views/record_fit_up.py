"""The page on which a fit-up is recorded or corrected."""

from uuid import UUID

from django.http import HttpResponse

from joints.actions.record_fit_ups import record_fit_ups
from joints.cautions import cautions_for
from joints.forms.fit_up_form import FitUpForm
from joints.queries.find_joint import find_joint
from joints.queries.joint_card import Card
from joints.views.kept_record import of_who_kept_it
from joints.views.record_page import record_page, record_to_correct, sent, stamps_to_choose
from records.access import JobRequest, on_job
from records.models import FitUp
from records.templatetags.spoolbook import person


@of_who_kept_it
@on_job(get="record fit-up", post="record fit-up")
def record_fit_up(request: JobRequest, joint: UUID) -> HttpResponse:
    """Record a fit-up of a joint; by default by whoever signed in."""
    card = Card(request.job, find_joint(request.job, joint), request.user)
    replaced = record_to_correct(request, FitUp, card.joint)
    stamp = card.stamps[0].code if card.stamps else ""
    form = FitUpForm(
        sent(request),
        plan=card.plan,
        crew=card.crew,
        job=request.job,
        joint=card.joint,
        user=request.user,
        name=stamp or person(request.user),
        replaced=replaced,
        initial={"tack_stamp": stamp},
    )
    return record_page(
        request,
        card.joint,
        form,
        record_fit_ups,
        told="Correction recorded." if replaced else "Fit-up recorded.",
        title="Correct the fit-up" if replaced else "Record fit-up",
        submit="Record the correction" if replaced else "Record fit-up",
        card=card,
        figures=card.figures,
        more_words="Readings round the pipe, squareness, high-low, day and time",
        cautions=cautions_for("fit up"),
        stamps=stamps_to_choose(request),
    )
