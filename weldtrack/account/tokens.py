"""A person's tokens: made and shown once, found by their sum, revoked."""

import hashlib
import secrets
from datetime import timedelta
from uuid import UUID

from django.db.models import Q, QuerySet
from django.utils import timezone

from records.models import ApiToken, Job, User

PREFIX = "spb_"
# Written at most this often, so that a program in a loop does not write for each request.
NOTED_EVERY = timedelta(minutes=1)


def make(
    id: UUID, *, user: User, name: str, may_write: bool, job: Job | None, has_second_factor: bool
) -> tuple[ApiToken, str]:
    """Make a token and return it with its secret, which is kept nowhere; empty where the same form came again."""
    secret = PREFIX + secrets.token_urlsafe(32)
    token, is_new = ApiToken.objects.get_or_create(
        id=id,
        defaults={
            "user": user,
            "name": name,
            "digest": _sum(secret),
            "may_write": may_write,
            "job": job,
            "has_second_factor": has_second_factor,
            "made_at": timezone.now(),
        },
    )
    return token, secret if is_new else ""


def of(user: User) -> QuerySet[ApiToken]:
    """The tokens of a person that still open something, the newest first."""
    return ApiToken.objects.filter(user=user, revoked_at__isnull=True).select_related("job").order_by("-made_at", "id")


def found(secret: str) -> ApiToken | None:
    """Return the token of a secret, where it is not revoked and its person may still sign in; one query."""
    tokens = ApiToken.objects.filter(digest=_sum(secret), revoked_at__isnull=True, user__is_active=True)
    return tokens.select_related("user", "job").first()


def note_use(token: ApiToken) -> None:
    """Write down that it was used; one query a minute at most."""
    now = timezone.now()
    if token.used_at is None or now - token.used_at >= NOTED_EVERY:
        stale = Q(used_at__isnull=True) | Q(used_at__lte=now - NOTED_EVERY)
        ApiToken.objects.filter(stale, pk=token.pk).update(used_at=now)


def revoke(user: User, id: UUID) -> bool:
    """Revoke a token of a person; False where it is none of theirs."""
    return bool(ApiToken.objects.filter(user=user, id=id, revoked_at__isnull=True).update(revoked_at=timezone.now()))


def revoke_all(user: User) -> int:
    """Revoke whatever tokens a person has; how many."""
    return ApiToken.objects.filter(user=user, revoked_at__isnull=True).update(revoked_at=timezone.now())


def _sum(secret: str) -> str:
    """The secret has 256 bits of chance: a plain sum can't be guessed back."""
    return hashlib.sha256(secret.encode()).hexdigest()
