"""Change the names and the mail address of somebody's sign-in."""

import logging

from django.core.exceptions import ValidationError
from django.db import transaction

from records.models import Job, User
from records.permissions import require, require_sign_in_of
from records.refusals import Fault, Implausible

log = logging.getLogger(__name__)


def describe_person(person: User, *, first_name: str, last_name: str, email: str, job: Job, by: User) -> User:
    """Write down what somebody is called, and where their mail goes: a forgotten password is mended there.

    Raises  NotAllowed (also where the person is on a job that `by` does not manage), Implausible (no mail address)
    """
    require(by, job, "manage people")
    require_sign_in_of(by, person)
    with transaction.atomic():
        person = User.objects.select_for_update(no_key=True).get(pk=person.pk)
        person.first_name, person.last_name, person.email = first_name, last_name, email.lower()
        try:
            person.clean_fields(exclude=["password"])
        except ValidationError as error:
            faults = [Fault(field, " ".join(told)) for field, told in error.message_dict.items()]
            raise Implausible.of(*faults) from error
        person.save(update_fields=["first_name", "last_name", "email"])
    log.warning("%s wrote down the names and the mail address of %s", by.get_username(), person.get_username())
    return person
