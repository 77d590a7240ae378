"""Refuse what is too large before a byte of it is read, whichever proxy stands before the site."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

MEGABYTE = 1024 * 1024


class BodyLimit:
    """Middleware that answers 413 with a sentence where a request says that it brings too much.

    A request that does not say its length is read as empty by the server, so that none slips through.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request."""
        said = request.META.get("CONTENT_LENGTH") or "0"
        most: int = settings.BODY_MAX_BYTES
        if said.isdecimal() and int(said) > most:
            return render(None, "413.html", {"most": most // MEGABYTE}, status=413)  # type: ignore[arg-type]
        return self.get_response(request)
