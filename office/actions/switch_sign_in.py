"""Close somebody's sign-in, or open it again: the roles stay, and what they recorded stays theirs."""

import logging

from allauth.usersessions.models import UserSession
from django.db import transaction

from records.models import Job, User
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
        # Two who close each other's at once must not both succeed: the second finds their own closed.
        both = User.objects.select_for_update(no_key=True).filter(pk__in=[by.pk, person.pk]).order_by("pk")
        open_now = {one.pk for one in both if one.is_active}
        if by.pk not in open_now:
            raise NotAllowed("Your own sign-in was closed meanwhile.")
        person.is_active = is_open
        person.save(update_fields=["is_active"])
        if not is_open:
            for session in UserSession.objects.filter(user=person):
                session.end()
    log.warning("%s %s the sign-in of %s", by.get_username(), "opened" if is_open else "closed", person.get_username())
    return person
