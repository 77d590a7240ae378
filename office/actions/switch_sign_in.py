"""Close somebody's sign-in, or open it again: the roles stay, and what they recorded stays theirs."""

import logging

from allauth.usersessions.models import UserSession
from django.db import transaction

from records.locking import lock_people
from records.models import Job, Membership, User
from records.permissions import require, require_sign_in_of
from records.refusals import NotAllowed
from records.retrying import retried

log = logging.getLogger(__name__)


@retried
def switch_sign_in(person: User, *, is_open: bool, job: Job, by: User) -> User:
    """Let a person sign in, or no more; whoever is closed out is signed out everywhere.

    Nobody closes their own and whoever closes another's manages all that person's jobs: one of them always stays.
    Raises  NotAllowed (also for oneself, and where the person is on a job that `by` does not manage)
    """
    require(by, job, "manage people")
    require_sign_in_of(by, person)
    with transaction.atomic():
        # Two who close each other's, or take each other's role, at once must not both succeed.
        on = Membership.objects.filter(user=person, is_held=True).values_list("job_id", flat=True)
        if by.pk not in lock_people({job.pk, *on}, by, person):
            raise NotAllowed("Your own sign-in was closed meanwhile.")
        require(by, job, "manage people")
        require_sign_in_of(by, person)
        person.is_active = is_open
        person.save(update_fields=["is_active"])
        if not is_open:
            for session in UserSession.objects.filter(user=person):
                session.end()
    log.warning("%s %s the sign-in of %s", by.get_username(), "opened" if is_open else "closed", person.get_username())
    return person
