"""The page on which is decided what is done about a rejected joint."""

from uuid import UUID

from django.http import HttpResponse

from inspection.actions.decide_repairs import decide_repairs
from inspection.forms.repair_form import RepairForm
from inspection.queries.rejects import rejects_of
from joints.queries.find_joint import find_joint
from joints.views.record_page import record_page, record_to_correct, sent
from records.access import JobRequest, on_job
from records.models import RepairDecision
from records.templatetags.spoolbook import person


@on_job(get="decide repair", post="decide repair")
def decide_repair(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show why the joint is rejected and record the decision."""
    found = find_joint(request.job, joint)
    replaced = record_to_correct(request, RepairDecision, found)
    form = RepairForm(
        sent(request),
        job=request.job,
        joint=found,
        user=request.user,
        name=person(request.user),
        replaced=replaced,
    )
    return record_page(
        request,
        found,
        form,
        decide_repairs,
        template="inspection/repair_decide.html",
        told="Decision recorded.",
        title="Correct the decision" if replaced else "Decide the repair",
        submit="Record the correction" if replaced else "Record the decision",
        rejects=rejects_of(found),
        more_words="Day and time",
    )
