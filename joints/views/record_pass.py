"""The page on which a pass is recorded or corrected."""

from uuid import UUID

from django.http import HttpResponse

from joints.actions.record_passes import record_passes
from joints.cautions import cautions_for
from joints.forms.pass_form import PassForm
from joints.queries.find_joint import find_joint
from joints.queries.joint_card import Card
from joints.queries.next_pass import next_pass
from joints.views.kept_record import of_who_kept_it
from joints.views.record_page import record_page, record_to_correct, sent, stamps_to_choose
from records.access import JobRequest, on_job
from records.models import Pass
from records.templatetags.spoolbook import person


@of_who_kept_it
@on_job(get="record pass", post="record pass")
def record_pass(request: JobRequest, joint: UUID) -> HttpResponse:
    """Record a pass of a joint; the next in sequence is proposed, with the person's own stamp."""
    card = Card(request.job, find_joint(request.job, joint), request.user)
    replaced = record_to_correct(request, Pass, card.joint)
    proposal = next_pass(card)
    form = PassForm(
        sent(request),
        plan=card.plan,
        crew=card.crew,
        offered=proposal.offered,
        before=card.passes,
        job=request.job,
        joint=card.joint,
        user=request.user,
        name=person(request.user),
        replaced=replaced,
        initial=proposal.proposed,
    )
    return record_page(
        request,
        card.joint,
        form,
        record_passes,
        told="Correction recorded." if replaced else "Pass recorded.",
        title=_title(card, replaced),
        submit="Record the correction" if replaced else _submit(card),
        card=card,
        more_words=form.more_words,
        cautions=cautions_for("weld"),
        stamps=stamps_to_choose(request),
    )


def _title(card: Card, replaced: Pass | None) -> str:
    if replaced:
        return f"Correct pass {replaced.order}"
    of = "" if card.joint.attempt == "0" else f" of {card.attempt_words}"
    return f"Record pass {card.next_order}{of}"


def _submit(card: Card) -> str:
    return f"Record pass {card.next_order}{' as ' + card.stamps[0].code if card.stamps else ''}"
