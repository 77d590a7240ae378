"""When a name is locked after too many wrong passwords, and how the person is told of it."""

from collections.abc import Mapping

from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.helpers import get_client_username
from axes.models import AccessAttempt
from django.conf import settings
from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

# So many wrong passwords from all addresses together, within the time that a lock lasts; NIST SP 800-63B asks for no
# more than 100 in a row (from memory). Far more than at one address, or anybody could lock anybody out.
MOST_EVERYWHERE = 100


class Handler(AxesDatabaseHandler):
    """Counts a name's failures at an address, and a name's from everywhere."""

    def get_failures(self, request: HttpRequest, credentials: dict[str, str] | None = None) -> int:
        """Return the failures at this address; the limit at least, where there were too many from everywhere."""
        here: int = super().get_failures(request, credentials)
        if here >= settings.AXES_FAILURE_LIMIT:
            return here
        name = get_client_username(request, credentials) or ""
        lately = AccessAttempt.objects.filter(username__iexact=name, attempt_time__gte=get_cool_off_threshold(request))
        everywhere = lately.aggregate(count=Sum("failures_since_start"))["count"] or 0
        return settings.AXES_FAILURE_LIMIT if everywhere >= MOST_EVERYWHERE else here


def locked_out(
    request: HttpRequest, original_response: HttpResponse | None = None, credentials: Mapping[str, str] | None = None
) -> HttpResponse:
    """Answer 429 with the page that says how many minutes to wait; whether the name exists is not told."""
    minutes = int(settings.AXES_COOLOFF_TIME.total_seconds() // 60)
    return render(request, "weldtrack/locked_out.html", {"minutes": minutes}, status=429)
