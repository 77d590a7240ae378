"""Note where a person is signed in, and when they were last seen there: every few minutes, never on each request."""

import time
from collections.abc import Callable

from allauth.usersessions.models import UserSession
from django.db import OperationalError
from django.http import HttpRequest, HttpResponse

from records.retrying import is_given_up

EVERY_SECONDS = 300
SEEN = "seen_at"


class LastSeen:
    """Middleware behind the one of sign-in; two queries and a write, each five minutes of a session."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, then note. What asked for no session costs nothing."""
        response = self.get_response(request)
        if request.session.accessed and request.user.is_authenticated:
            now = int(time.time())
            if now - request.session.get(SEEN, 0) >= EVERY_SECONDS:
                self._note(request, now)
        return response

    def _note(self, request: HttpRequest, now: int) -> None:
        """Note it, or let it be where others are writing: the next request notes it."""
        try:
            UserSession.objects.create_from_request(request)
        except OperationalError as error:
            if not is_given_up(error):
                raise
        else:
            request.session[SEEN] = now
