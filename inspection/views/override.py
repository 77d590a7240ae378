"""The page on which a finding is overridden in writing."""

from uuid import UUID

from django.http import Http404, HttpResponse

from inspection.actions.override_findings import override_findings
from inspection.forms.override_form import OverrideForm
from joints.queries.find_joint import find_joint
from joints.views.record_page import record_page
from records.access import JobRequest, on_job
from records.models import Finding, Joint
from records.templatetags.spoolbook import person


@on_job(get="override", post="override")
def override(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show the finding and record why the joint may go on despite it."""
    found = find_joint(request.job, joint)
    finding = _finding(request, found)
    form = OverrideForm(
        request.POST or None,
        finding=finding,
        job=request.job,
        joint=found,
        user=request.user,
        name=person(request.user),
    )
    return record_page(
        request,
        found,
        form,
        override_findings,
        template="inspection/finding_override.html",
        told="Override recorded.",
        title="Override a finding",
        submit="Override in writing",
        finding=finding,
        more_words="Day and time",
    )


def _finding(request: JobRequest, joint: Joint) -> Finding:
    """The finding that the address names. Raises Http404."""
    asked = request.POST.get("finding") or request.GET.get("finding") or ""
    finding = Finding.objects.filter(joint=joint, id=int(asked)).first() if asked.isdecimal() else None
    if finding is None:
        raise Http404("There is no such finding; it may have been settled since the page was shown.")
    return finding
