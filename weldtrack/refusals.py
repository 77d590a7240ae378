"""The edge: a refusal becomes a page here, once."""

from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import add_never_cache_headers

from records.refusals import Busy, Refusal
from records.retrying import BUSY, is_given_up


class RefusalPages:
    """Middleware that answers a refusal with its sentence and its status; a programmer's mistake passes through."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Turn a refusal that a view let pass into a page, and a database that stayed locked into a refusal."""
        if isinstance(exception, OperationalError) and is_given_up(exception):
            exception = Busy(BUSY)
        if not isinstance(exception, Refusal):
            return None
        page = render(request, "weldtrack/refused.html", {"refusal": exception}, status=exception.status)
        # It names whoever is signed in, and what refuses now may not later.
        add_never_cache_headers(page)
        return page
