"""The jobs of a person, with the roles held on each."""

from collections import defaultdict
from dataclasses import dataclass
from uuid import UUID

from records.models import Job, Membership, User
from records.models.job import ROLES


@dataclass(frozen=True, slots=True)
class JobShown:
    """A job and what the person is on it."""

    job: Job
    roles: tuple[str, ...]


def jobs_with_roles(person: User) -> list[JobShown]:
    """Return the jobs that a person is on, by code; one query."""
    held: dict[UUID, set[str]] = defaultdict(set)
    jobs: dict[UUID, Job] = {}
    for row in Membership.objects.filter(user=person, is_held=True).select_related("job").order_by("job__code"):
        held[row.job_id].add(row.role)
        jobs[row.job_id] = row.job
    return [JobShown(job, tuple(role for role in ROLES if role in held[key])) for key, job in jobs.items()]
