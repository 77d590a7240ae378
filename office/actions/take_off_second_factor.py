"""Take somebody's second factor off, where phone and recovery codes are lost."""

import logging

from allauth.mfa.models import Authenticator
from allauth.usersessions.models import UserSession
from django.db import transaction

from records import second_factor
from records.models import Job, User
from records.permissions import require, require_sign_in_of

log = logging.getLogger(__name__)


@transaction.atomic
def take_off_second_factor(person: User, *, job: Job, by: User) -> bool:
    """Remove the codes of a person and sign them out everywhere. Returns whether there was anything to remove.

    Raises  NotAllowed (also where the person is on a job that `by` does not manage)
    """
    require(by, job, "manage people")
    require_sign_in_of(by, person)
    removed, _ = Authenticator.objects.filter(user=person).delete()
    second_factor.forget(person)
    if removed:
        for session in UserSession.objects.filter(user=person):
            session.end()
        log.warning("%s took off the second factor of %s", by.get_username(), person.get_username())
    return bool(removed)
