"""The people of a job, with their roles and stamps."""

from collections import defaultdict
from dataclasses import dataclass

from allauth.mfa.models import Authenticator
from django.db.models import Exists, OuterRef, Q, QuerySet

from records.models import ApiToken, Job, Membership, Stamp, User
from records.models.job import ROLES
from records.site_account import USERNAME


@dataclass(frozen=True, slots=True)
class Member:
    """A person on a job.

    has_password        whether a password was ever set
    has_second_factor   whether a code is asked after it
    is_site             whether it is the site's own account, with which nobody signs in
    """

    person: User
    roles: tuple[str, ...]
    stamps: tuple[str, ...]
    has_password: bool
    has_second_factor: bool
    is_site: bool


def members(job: Job) -> list[Member]:
    """Return everybody on a job by name; two queries."""
    found = _members(job, Membership.objects.filter(job=job, is_held=True))
    return sorted(found, key=lambda one: (one.person.last_name, one.person.first_name, one.person.username))


def member(job: Job, username: str) -> Member | None:
    """Return somebody on a job by the name they sign in with, None where nobody is; two queries."""
    return next(iter(_members(job, Membership.objects.filter(job=job, is_held=True, user__username=username))), None)


def tokens_of(person: User, job: Job) -> tuple[ApiToken, ...]:
    """Return the tokens of a person that open this job, the newest first; one query."""
    rows = ApiToken.objects.filter(Q(job=job) | Q(job=None), user=person, revoked_at__isnull=True)
    return tuple(rows.select_related("job").order_by("-made_at", "id"))


def _members(job: Job, memberships: QuerySet[Membership]) -> list[Member]:
    people: dict[int, User] = {}
    roles: dict[int, set[str]] = defaultdict(set)
    coded: set[int] = set()
    has_code = Exists(Authenticator.objects.filter(user=OuterRef("user")))
    for row in memberships.select_related("user").annotate(has_code=has_code):
        people[row.user_id] = row.user
        roles[row.user_id].add(row.role)
        if row.has_code:
            coded.add(row.user_id)
    stamps: dict[int, list[str]] = defaultdict(list)
    bearers = Stamp.objects.filter(job=job, welder__user__in=list(people)).order_by("code")
    for person, code in bearers.values_list("welder__user_id", "code"):
        stamps[person].append(code)
    return [
        Member(
            person,
            tuple(role for role in ROLES if role in roles[key]),
            tuple(stamps[key]),
            person.has_usable_password(),
            key in coded,
            person.username == USERNAME,
        )
        for key, person in people.items()
    ]
