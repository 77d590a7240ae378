"""The account in whose name commands act where no person is named."""

from django.db import transaction
from django.utils import timezone

from records import journal
from records.models import Job, Membership, User

USERNAME = "site"
ROLE = "engineer"


@transaction.atomic
def site_account(job: Job) -> User:
    """Return the site's own account, on the job as an engineer; made and journalled where it is absent.

    Whoever can start a command has the whole server, so the account asks for no more than that. Nobody can sign in
    with it: it has no password.
    """
    user = site_user()
    join(job, user, ROLE, by=user)
    return user


def site_user() -> User:
    """Return the site's own account, on no job yet where it is new."""
    user, made = User.objects.get_or_create(username=USERNAME, defaults={"first_name": "Spoolbook"})
    if made:
        user.set_unusable_password()
        user.save(update_fields=["password"])
    return user


def join(job: Job, user: User, role: str, *, by: User | None, reason: str = "") -> Membership:
    """Give a person a role on a job, once or again; it stands in the journal. In the caller's transaction."""
    membership, made = Membership.objects.get_or_create(job=job, user=user, role=role)
    if not membership.is_held:
        membership.is_held = made = True
        membership.save(update_fields=["is_held"])
    if made:
        journal.append([membership], job=job, by=by, at=timezone.now(), reason=reason)
    return membership
