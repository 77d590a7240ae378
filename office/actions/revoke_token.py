"""Revoke a token of somebody on the job: what a program signs in with in their name."""

import logging
from uuid import UUID

from django.utils import timezone

from records.models import ApiToken, Job, User
from records.permissions import require, require_sign_in_of
from records.refusals import Fault, Implausible

log = logging.getLogger(__name__)


def revoke_token(person: User, token: UUID, *, job: Job, by: User) -> ApiToken:
    """Revoke a token that opens this job; it opens nothing any more, and is kept.

    Raises  NotAllowed (also for a token to all jobs of a person who is on a job that `by` does not manage), Implausible
            (no such token of theirs on this job)
    """
    require(by, job, "manage people")
    found = ApiToken.objects.filter(user=person, id=token, revoked_at__isnull=True).first()
    if found is None or found.job_id not in (None, job.pk):
        told = "There is no such token of theirs on this job."
        raise Implausible.of(Fault("deed", told))
    if found.job_id is None:
        require_sign_in_of(by, person)
    found.revoked_at = timezone.now()
    found.save(update_fields=["revoked_at"])
    log.warning("%s revoked the token %s of %s", by.get_username(), found.name, person.get_username())
    return found
