"""The page on which a finding is overridden in writing."""

from uuid import UUID

from django.http import Http404, HttpResponse

from inspection.actions.override_findings import override_findings
from inspection.forms.override_form import OverrideForm
from inspection.queries.rejects import findings_named
from joints.queries.find_joint import find_joint
from joints.views.record_page import record_page, sent
from records.access import JobRequest, on_job
from records.recording import is_attempt
from records.templatetags.spoolbook import person
from rules.codes import CODES


@on_job(get="override", post="override")
def override(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show the findings of a code and record why the joint may go on despite them."""
    found = find_joint(request.job, joint)
    code, attempt = _named(request)
    findings = findings_named(found, code, attempt)
    if request.method == "GET" and not findings:
        raise Http404("There is no such finding; it may have been settled since the page was shown.")
    form = OverrideForm(
        sent(request),
        code=code,
        attempt=attempt,
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
        findings=findings,
        more_words="Day and time",
    )


def _named(request: JobRequest) -> tuple[str, str]:
    """The code and the attempt that the address or the form names. Raises Http404 for anything else."""
    asked = request.POST.get("finding") or request.GET.get("finding") or ""
    code, _, attempt = asked.partition(".")
    if code not in CODES or not is_attempt(attempt):
        raise Http404("There is no such finding.")
    return code, attempt
