"""The page on which a joint is released."""

from uuid import UUID

from django.http import HttpResponse

from inspection.actions.release_joints import release_joints
from inspection.forms.release_form import ReleaseForm
from inspection.queries.rejects import open_stops_of
from inspection.queries.unconfirmed import unconfirmed_of
from joints.queries.find_joint import find_joint
from joints.views.record_page import record_page
from records.access import JobRequest, on_job
from records.templatetags.spoolbook import person
from rules.confirmation import table_words


@on_job(get="release", post="release")
def release(request: JobRequest, joint: UUID) -> HttpResponse:
    """Show what still stops the release, and record the signature."""
    found = find_joint(request.job, joint)
    form = ReleaseForm(request.POST or None, job=request.job, joint=found, user=request.user, name=person(request.user))
    return record_page(
        request,
        found,
        form,
        release_joints,
        template="inspection/joint_release.html",
        told="Joint released.",
        title=f"Release joint {found.number}",
        submit=f"Release joint {found.number}",
        stops=open_stops_of(found),
        unconfirmed=_unconfirmed(request, found.id),
        more_words="Day and time",
    )


def _unconfirmed(request: JobRequest, joint: UUID) -> list[tuple[str, str, str]]:
    """Where the job demands confirmation: (words, table, row) of each that is still to be confirmed."""
    if not request.job.confirmation_demanded:
        return []
    rows = unconfirmed_of(request.job, [joint]).get(joint, [])
    return [(table_words(row), row[0], row[1]) for row in rows]
