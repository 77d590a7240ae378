"""One joint of a job, with everything that its pages say of its plan."""

from uuid import UUID

from django.http import Http404

from records.models import Job, Joint, Stamp, User

PLAN = (
    "sheet",
    "line",
    "spool",
    "spool_b",
    "piece_a",
    "piece_b",
    "heat_a__certificate",
    "heat_b__certificate",
    "procedure",
    "assigned__welder",
)


def find_joint(job: Job, joint: UUID) -> Joint:
    """Return the joint with its plan; one query. Raises Http404 for an absent one and for one of another job alike."""
    try:
        return Joint.objects.select_related(*PLAN).get(job=job, id=joint)
    except Joint.DoesNotExist:
        raise Http404("There is no such joint.") from None


def stamps_of(user: User, job: Job) -> list[Stamp]:
    """Return the stamps that a person who signs in welds under on this job, the latest first; one query."""
    return list(
        Stamp.objects.filter(job=job, welder__user=user).select_related("welder").order_by("-valid_from", "code")
    )
