"""The edge of the API: a refusal becomes application/problem+json (RFC 9457) here, once."""

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db import OperationalError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response

from records.refusals import Busy, Refusal
from records.retrying import BUSY, is_given_up

MEDIA_TYPE = "application/problem+json"


def as_problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """Return what went wrong as a problem, with its faults as `errors`; None for a programmer's mistake."""
    if isinstance(error, OperationalError) and is_given_up(error):
        error = Busy(BUSY)
    if isinstance(error, Refusal):
        return _problem(error.status, error.title, error.message, _errors(error, context.get("view")))
    if isinstance(error, Http404):
        return _problem(404, "Not here", str(error) or "There is no such thing.")
    if isinstance(error, exceptions.NotAuthenticated | exceptions.AuthenticationFailed):
        told = "Sign in first, as on the pages, or send a token that is not revoked: Authorization: Bearer TOKEN."
        challenge = getattr(error, "auth_header", "")
        response = _problem(error.status_code, "Not signed in", told)
        return _with(response, "WWW-Authenticate", challenge) if challenge else response
    if isinstance(error, PermissionDenied):
        return _problem(403, "Not allowed", str(error) or "You may not do this.")
    if isinstance(error, exceptions.APIException):
        return _problem(error.status_code, HTTPStatus(error.status_code).phrase, str(error.detail))
    return None


def _with(response: Response, header: str, value: str) -> Response:
    response[header] = value
    return response


def _errors(refusal: Refusal, view: Any) -> list[Mapping[str, str]]:
    """Each fault, its field called as the API calls it."""
    called: Callable[[str], str] = getattr(view, "called", str)
    return [{"field": called(one.field), "message": one.message, "accepted": one.accepted} for one in refusal.faults]


def _problem(status: int, title: str, detail: str, errors: list[Mapping[str, str]] | None = None) -> Response:
    told: dict[str, Any] = {"type": "about:blank", "title": title, "status": status, "detail": detail}
    return Response(told | {"errors": errors or []}, status=status, content_type=MEDIA_TYPE)
