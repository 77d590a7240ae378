"""Release joints: a signature that they may go on, unless findings stop it."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from uuid import UUID

from django.db import transaction

from inspection.queries.rejects import STOPPING
from inspection.queries.unconfirmed import unconfirmed_of
from records.locking import lock_joints
from records.models import Finding, Job, Joint, Release, User
from records.permissions import require
from records.recording import record
from records.refresh import refresh
from records.refusals import Fault, NotReleasable
from records.retrying import retried
from rules.confirmation import table_words
from rules.state import ACCEPTED, REJECTED, RELEASED, WELDED

# An override of every stop lets one go on that is welded or rejected; one not yet welded has no weld to sign.
MAY_GO_ON = (WELDED, REJECTED, ACCEPTED, RELEASED)


@retried
def release_joints(drafts: Sequence[Release], *, job: Job, by: User, as_recorded: bool = False) -> list[Release]:
    """Sign releases; a draft sent again returns the stored record.

    drafts       each with the id made on the device, joint, attempt, day and by
    as_recorded  a signature given on paper before: it is recorded, and what spoke against it stays a finding
    Raises       NotAllowed, Implausible, RecordClash, NotReleasable (with each open finding that stops a joint, or each
                 table that is not confirmed where the job demands that)
    """
    require(by, job, "release")
    with transaction.atomic():
        if not as_recorded:
            _refuse_stopped(drafts, job)
        return record(drafts, job=job, by=by, verb="release", check=faults)


def faults(draft: Release) -> Iterable[Fault]:
    """Yield what a signature can lack."""
    if not draft.by.strip():
        yield Fault("by", "Who releases the joint is missing.", "a name")


def stops_on(job: Job, joint_ids: Iterable[UUID]) -> dict[UUID, list[str]]:
    """Return, by joint, the message of each open finding that stops a release; one query."""
    found: dict[UUID, list[str]] = defaultdict(list)
    rows = Finding.objects.filter(STOPPING, job=job, joint_id__in=list(joint_ids), override__isnull=True)
    for joint_id, message in rows.order_by("id").values_list("joint_id", "message"):
        found[joint_id].append(message)
    return found


def _refuse_stopped(drafts: Sequence[Release], job: Job) -> None:
    stored = set(Release.objects.filter(id__in=[draft.id for draft in drafts]).values_list("id", flat=True))
    # A batch may sign one joint twice: each signature must be for the attempt that stands.
    fresh: dict[UUID, set[str]] = defaultdict(set)
    for draft in drafts:
        if draft.id not in stored:
            fresh[draft.joint_id].add(draft.attempt)
    lock_joints(job, fresh)
    # What waits for the background is worked out here: a signature can't rest on findings of before.
    refresh(job, Joint.objects.filter(job=job, id__in=fresh, is_stale=True).values_list("id", flat=True))
    stops = stops_on(job, fresh)
    if stops:
        messages = [message for found in stops.values() for message in found]
        raise NotReleasable(
            f"{' '.join(messages)} Mend it, or override it in writing.",
            [Fault("joint", message) for message in messages],
        )
    _refuse_unconfirmed(list(fresh), job)
    for joint in Joint.objects.filter(job=job, id__in=fresh):
        if joint.state not in MAY_GO_ON:
            raise NotReleasable(f"Joint {joint.number} is {joint.state}; only a welded joint can be released.")
        if fresh[joint.id] != {joint.attempt}:
            raise NotReleasable(
                f"Joint {joint.number} has gone on to {joint.attempt} since this form was shown; look at it again.",
                [Fault("attempt", f"The attempt is {joint.attempt} now.", joint.attempt)],
            )


def _refuse_unconfirmed(joint_ids: Sequence[UUID], job: Job) -> None:
    if not job.confirmation_demanded or not joint_ids:
        return
    tables = sorted({table_words(row) for rows in unconfirmed_of(job, joint_ids).values() for row in rows})
    if tables:
        raise NotReleasable(
            f"This job releases only by tables that an engineer has confirmed, and these are not: {'; '.join(tables)}.",
            [Fault("joint", f"Not confirmed: {name}.", "a confirmation on the page Tables") for name in tables],
        )
