"""The page on which a welder is assigned to a joint."""

from uuid import UUID

from django.http import HttpResponse

from joints.actions.assign_welders import assign_welders
from joints.forms.assign_form import AssignForm
from joints.queries.find_joint import find_joint
from joints.queries.who_may_weld import who_may_weld
from joints.views.record_page import record_page, sent
from records.access import JobRequest, on_job
from records.templatetags.spoolbook import person


@on_job(get="assign", post="assign")
def assign(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show who may weld the joint and why not the others; record the choice."""
    found = find_joint(request.job, joint)
    form = AssignForm(
        sent(request),
        candidates=who_may_weld(found),
        job=request.job,
        joint=found,
        user=request.user,
        name=person(request.user),
    )
    return record_page(
        request,
        found,
        form,
        assign_welders,
        template="joints/joint_assign.html",
        told="Welder assigned.",
        title="Assign a welder",
    )
