"""How a program signs in: `Authorization: Bearer TOKEN`."""

from typing import Any

from django.http import Http404
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import SAFE_METHODS, BasePermission
from rest_framework.request import Request

from records.api.asker import NO_JOB
from records.models import ApiToken, User
from records.refusals import NotAllowed
from weldtrack.account import tokens


class TokenSignIn(BaseAuthentication):
    """Find the person by the token, and note that it was used; one query, and a write a minute."""

    def authenticate(self, request: Request) -> tuple[User, ApiToken] | None:
        """Return the person and the token; None where the request names none. Raises AuthenticationFailed."""
        scheme, _, secret = get_authorization_header(request).partition(b" ")
        if scheme.lower() != b"bearer":
            return None
        token = tokens.found(secret.decode("latin-1").strip())
        if token is None:
            raise AuthenticationFailed
        tokens.note_use(token)
        return token.user, token

    def authenticate_header(self, request: Request) -> str:
        """What a program that did not sign in is told to bring."""
        return 'Bearer realm="Spoolbook"'


class TokenInSchema(OpenApiAuthenticationExtension):
    """How the schema tells of a token: the tool finds this class by its being imported."""

    target_class = TokenSignIn
    name = "token"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        """A secret in the header, as RFC 6750 has it."""
        return {"type": "http", "scheme": "bearer"}


class WithinToken(BasePermission):
    """A token opens no more than it was made for."""

    def has_permission(self, request: Request, view: Any) -> bool:
        """Say yes. Raises NotAllowed for writing with one that reads, Http404 for a job that it is not for."""
        token = request.auth
        if not isinstance(token, ApiToken):
            return True
        if not token.may_write and request.method not in SAFE_METHODS:
            raise NotAllowed("This token only reads. Make one that writes under your name, at the top of each page.")
        if token.job and request.query_params.get("job") not in (None, token.job.code):
            raise Http404(NO_JOB)
        return True
