"""Tell a person that the name is locked after too many wrong passwords, and for how long."""

from collections.abc import Mapping

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def locked_out(
    request: HttpRequest, original_response: HttpResponse | None = None, credentials: Mapping[str, str] | None = None
) -> HttpResponse:
    """Answer 429 with the page that says how many minutes to wait; whether the name exists is not told."""
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    return render(request, "weldtrack/locked_out.html", {"minutes": minutes}, status=429)
