"""Whether a job lets a session in that has no second factor."""

from allauth.account.authentication import get_authentication_records
from django.conf import settings
from django.http import HttpRequest

from records.models import ApiToken, Job, User
from records.permissions import verbs_of

BY_CODE = "mfa"


def demands(job: Job, roles: frozenset[str]) -> bool:
    """Say whether whoever holds these roles on the job must sign in with a second factor.

    The job asks it of everybody who may write on it, or the whole site does; whoever only reads is never asked.
    """
    return (job.second_factor_demanded or settings.SECOND_FACTOR == "writers") and verbs_of(roles) > {"read"}


def was_given(request: HttpRequest) -> bool:
    """Say whether this session came in with a second factor, or set one up itself; no query."""
    return any(one["method"] == BY_CODE for one in get_authentication_records(request, request.user))  # type: ignore[arg-type]


def forget(person: User) -> None:
    """Let tokens that were made with a second factor count as made without, once it is off; one query."""
    ApiToken.objects.filter(user=person, has_second_factor=True).update(has_second_factor=False)
