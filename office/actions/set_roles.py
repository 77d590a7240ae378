"""Give a person roles on a job, and take others; each stands in the journal."""

from collections.abc import Collection, Sequence

from django.db import transaction
from django.utils import timezone

from records import journal, site_account
from records.locking import lock_people
from records.models import Job, Membership, User
from records.models.job import ROLES
from records.permissions import ALLOWED, require
from records.refusals import Fault, Implausible, NotAllowed
from records.retrying import retried

LEADING = ALLOWED["manage people"]


@retried
def set_roles(person: User, roles: Collection[str], *, job: Job, by: User, reason: str = "") -> list[Membership]:
    """Let a person hold exactly these roles on a job; none takes the person off it. Returns what changed.

    reason  why, needed where a role is taken
    Raises  NotAllowed, Implausible (a role there is none of, a role taken without a reason, the last administrator)
    """
    require(by, job, "manage people")
    if unknown := set(roles) - set(ROLES):
        raise Implausible.of(Fault("roles", f"There is no role {', '.join(sorted(unknown))}.", ", ".join(ROLES)))
    if person.username == site_account.USERNAME:
        raise Implausible.of(
            Fault("roles", "This is the site’s own account; its roles go with the commands that use it.")
        )
    with transaction.atomic():
        # Two administrators who take each other's role or sign-in at once must not both succeed.
        open_now = lock_people([job.pk], by, person)
        require(by, job, "manage people")
        if by.pk not in open_now and by.username != site_account.USERNAME:
            raise NotAllowed("Your own sign-in was closed meanwhile.")
        held = {one.role: one for one in Membership.objects.filter(job=job, user=person, is_held=True)}
        taken = [one for role, one in held.items() if role not in roles]
        if taken:
            _refuse_to_take(taken, job, reason)
        given = [
            site_account.join(job, person, role, by=by, reason=reason)
            for role in ROLES
            if role in roles and role not in held
        ]
        for one in taken:
            one.is_held = False
            one.save(update_fields=["is_held"])
        if taken:
            journal.append(taken, job=job, by=by, at=timezone.now(), reason=reason)
    return [*given, *taken]


def _refuse_to_take(taken: Sequence[Membership], job: Job, reason: str) -> None:
    if not reason.strip():
        raise Implausible.of(Fault("reason", "Say why a role is taken.", "a few words"))
    if not any(one.role in LEADING for one in taken):
        return
    leaving = taken[0].user
    others = Membership.objects.filter(job=job, role__in=LEADING, is_held=True, user__is_active=True)
    # A password that nobody can use begins with "!": that of a new person, and of the site's own account.
    if not others.exclude(user=leaving).exclude(user__password__startswith="!").exists():
        told = f"{leaving.get_username()} is the last administrator of {job.code} who can sign in."
        raise Implausible.of(Fault("roles", told, "another administrator first, who has set a password"))
