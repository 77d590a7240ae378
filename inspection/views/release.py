"""The page on which a joint is released."""

from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse

from inspection.actions.release_joints import MAY_GO_ON, release_joints
from inspection.forms.release_form import ReleaseForm
from inspection.queries.rejects import open_stops_of
from inspection.queries.unconfirmed import unconfirmed_of
from joints.next_step import EXAMINE, Steps
from joints.queries.find_joint import find_joint
from joints.views.record_page import record_page, sent
from records.access import JobRequest, on_job
from records.models import Finding, Joint
from records.templatetags.spoolbook import person
from rules.confirmation import table_words
from rules.points import CODE as POINT_OPEN


@dataclass(frozen=True, slots=True)
class Stop:
    """A finding that stops the release, and where it is mended or overridden; empty where this person may not."""

    finding: Finding
    words: str
    mend: str
    override: str


@on_job(get="release", post="release")
def release(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show what still stops the release with the way on, or record the signature."""
    found = find_joint(request.job, joint)
    form = ReleaseForm(sent(request), job=request.job, joint=found, user=request.user, name=person(request.user))
    stops = [_stop(request, found, finding) for finding in open_stops_of(found)]
    unconfirmed = _unconfirmed(request, found.id)
    is_too_early = found.state not in MAY_GO_ON
    return record_page(
        request,
        found,
        form,
        release_joints,
        template="inspection/joint_release.html",
        told="Joint released.",
        title="Release",
        submit=f"Release joint {found.number}",
        stops=stops,
        unconfirmed=unconfirmed,
        is_too_early=is_too_early,
        may_sign=not (stops or unconfirmed or is_too_early),
        more_words="Day and time",
    )


def _stop(request: JobRequest, joint: Joint, finding: Finding) -> Stop:
    """An examination that is due is made, a reject decided; anything else is mended where its record stands."""
    steps = Steps(request.job, request.verbs)
    step = {"examination-due": EXAMINE + finding.subject, "examination-rejected": "decide repair"}.get(finding.code, "")
    next_step = steps.next(joint.id, step, "somebody") if step else None
    words = f"Record {finding.subject}" if finding.code == "examination-due" else "Decide the repair"
    if finding.code == POINT_OPEN:
        points = reverse("hold-points-of-joint", args=[request.job.code, joint.id])
        return Stop(finding, "The owner’s inspector attends or waives it", points, "")
    override = ""
    if "override" in request.verbs:
        override = reverse("finding-override", args=[request.job.code, joint.id]) + f"?finding={finding.name}"
    if next_step and next_step.address:
        return Stop(finding, words, next_step.address, override)
    return Stop(finding, "Mend its record on the joint card", steps.card(joint.id), override)


def _unconfirmed(request: JobRequest, joint: UUID) -> list[tuple[str, str, str]]:
    """Where the job demands confirmation: (words, table, row) of each that is still to be confirmed."""
    if not request.job.confirmation_demanded:
        return []
    rows = unconfirmed_of(request.job, [joint]).get(joint, [])
    return [(table_words(row), row[0], row[1]) for row in rows]
