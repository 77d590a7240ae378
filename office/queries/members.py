"""The people of a job, with their roles and stamps."""

from collections import defaultdict
from dataclasses import dataclass

from records.models import Job, Membership, Stamp, User
from records.models.job import ROLES


@dataclass(frozen=True, slots=True)
class Member:
    """A person on a job."""

    person: User
    roles: tuple[str, ...]
    stamps: tuple[str, ...]


def members(job: Job) -> list[Member]:
    """Return everybody on a job by name; two queries."""
    people: dict[int, User] = {}
    roles: dict[int, set[str]] = defaultdict(set)
    for row in Membership.objects.filter(job=job).select_related("user"):
        people[row.user_id] = row.user
        roles[row.user_id].add(row.role)
    stamps: dict[int, list[str]] = defaultdict(list)
    bearers = Stamp.objects.filter(job=job, welder__user__isnull=False).order_by("code")
    for person, code in bearers.values_list("welder__user_id", "code"):
        stamps[person].append(code)
    found = [
        Member(person, tuple(role for role in ROLES if role in roles[key]), tuple(stamps[key]))
        for key, person in people.items()
    ]
    return sorted(found, key=lambda one: (one.person.last_name, one.person.first_name, one.person.username))
