"""Whoever asks the API: the jobs that they may read, and what they may do there; the same table as for pages."""

from functools import cached_property
from uuid import UUID

from django.http import Http404
from rest_framework.request import Request

from records import second_factor
from records.models import ApiToken, Job, User
from records.permissions import ALLOWED, jobs_with_roles, words
from records.refusals import NotAllowed

NO_JOB = "There is no such job."


class Asker:
    """A person with the roles they hold; one query, whatever is asked of it."""

    def __init__(self, request: Request) -> None:
        assert isinstance(request.user, User)  # whoever is nobody does not come past the door
        self.request, self.user = request, request.user
        self.token = request.auth if isinstance(request.auth, ApiToken) else None

    @cached_property
    def _held(self) -> dict[UUID, tuple[Job, frozenset[str]]]:
        only = self.token.job_id if self.token else None
        return {job.id: (job, roles) for job, roles in jobs_with_roles(self.user) if only in (None, job.id)}

    def jobs(self, verb: str = "read") -> list[UUID]:
        """The jobs whose rows a list shows; one that asks a second factor which was not given is left out."""
        held = self._held.items()
        return [key for key, (job, roles) in held if ALLOWED[verb] & roles and self._has_factor(job, roles)]

    def all_jobs(self) -> list[UUID]:
        """The jobs that the person is on."""
        return list(self._held)

    def job_called(self, code: str, verb: str = "read") -> Job:
        """The job of this code. Raises Http404 where the person is not on it; NotAllowed without the verb."""
        found = next((job for job, _ in self._held.values() if job.code == code), None)
        if found is None:
            raise Http404(NO_JOB)
        self.admit(found.id, verb)
        return found

    def job_of(self, key: UUID) -> Job:
        """A job that the person is on."""
        return self._held[key][0]

    def is_on(self, job: UUID) -> bool:
        """Say whether the job exists for the person."""
        return job in self._held

    def admit(self, key: UUID, verb: str) -> None:
        """Raise NotAllowed unless the person may do the deed on a job that they are on."""
        job, roles = self._held[key]
        if not ALLOWED[verb] & roles:
            raise NotAllowed(f"Your role on {job.code} does not include this; {words(ALLOWED[verb])} may do it.")
        if not self._has_factor(job, roles):
            raise NotAllowed(f"{job.code} asks for a second factor from whoever may write on it.")

    def admit_somewhere(self, verb: str) -> None:
        """Raise NotAllowed where the person may do the deed on none of their jobs."""
        if not any(ALLOWED[verb] & roles for _, roles in self._held.values()):
            raise NotAllowed(f"Your roles do not include this; {words(ALLOWED[verb])} may do it.")

    def _has_factor(self, job: Job, roles: frozenset[str]) -> bool:
        if not second_factor.demands(job, roles):
            return True
        return self.token.has_second_factor if self.token else second_factor.was_given(self.request._request)
