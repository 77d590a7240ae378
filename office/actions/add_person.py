"""Put somebody on a job: who signs in already, or a new person who sets a password with a link."""

from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from records import site_account
from records.models import Job, User
from records.models.job import ROLES
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried


@dataclass(frozen=True, slots=True)
class NewPerson:
    """What is known of somebody who comes onto a job; names and mail are those of a new sign-in alone."""

    username: str
    role: str
    first_name: str = ""
    last_name: str = ""
    email: str = ""


@retried
def add_person(draft: NewPerson, *, job: Job, by: User) -> tuple[User, bool]:
    """Give somebody a role on a job. Returns the person, and whether the sign-in is new (and has no password yet).

    Raises  NotAllowed, Implausible (a name that can't be one or differs in capital letters alone, an unknown role)
    """
    require(by, job, "manage people")
    if draft.role not in ROLES:
        raise Implausible.of(Fault("role", f"There is no role {draft.role}.", ", ".join(ROLES)))
    if draft.username == site_account.USERNAME:
        raise Implausible.of(Fault("username", f"{draft.username} is the site’s own account.", "another name"))
    with transaction.atomic():
        person = User.objects.filter(username__iexact=draft.username).order_by("id").first()
        if person and person.username != draft.username:
            told = f"{draft.username} differs from a name that is taken, {person.username}, in capital letters alone."
            raise Implausible.of(Fault("username", told, "another name, or that one as it is written"))
        is_new = person is None
        person = person or _new(draft)
        site_account.join(job, person, draft.role, by=by)
    return person, is_new


def _new(draft: NewPerson) -> User:
    person = User(
        username=draft.username, first_name=draft.first_name, last_name=draft.last_name, email=draft.email.lower()
    )
    person.set_unusable_password()
    try:
        person.clean_fields(exclude=["password"])
    except ValidationError as error:
        faults = [Fault(field, " ".join(told)) for field, told in error.message_dict.items()]
        raise Implausible.of(*faults) from error
    person.save()
    return person
