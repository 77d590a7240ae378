"""The weld log's page."""

from dataclasses import dataclass
from functools import cache
from urllib.parse import urlencode

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils.safestring import SafeString, mark_safe

from joints.next_step import Step, Steps
from joints.queries.names_to_choose import names_to_choose
from joints.queries.weld_log import WAITS, LogRow, Wanted, weld_log
from joints.queries.weld_log_table import weld_log_table
from records.access import JobRequest, on_job
from records.models.joint import KINDS, LOCATIONS, STATES
from records.paging import keys_asked
from records.sending import send_list
from reports.ring import ring_svg

METHODS = ("VT", "RT", "PT", "MT", "UT", "PMI", "PWHT")


@dataclass(frozen=True, slots=True)
class LogLine:
    """A row of the log with its addresses and its ring."""

    row: LogRow
    card: str
    mark: SafeString
    step: Step


@on_job(get="read")
def show_weld_log(request: JobRequest) -> HttpResponse:
    """Show one page of the log; with htmx only the list, since the filters stand above it."""
    wanted = Wanted.read(request.GET)
    after, before = keys_asked(request.GET)
    page = weld_log(request.job, wanted, after=after, before=before)
    given = wanted.given()
    context = {
        "page": page,
        "lines": log_lines(page.rows, Steps(request.job, request.verbs)),
        "wanted": wanted,
        "given": given,
        "asked": urlencode(given),
    }
    if request.htmx and not request.htmx.boosted:
        return render(request, "joints/_weld_log_list.html", context)
    return render(request, "joints/weld_log.html", context | _choices(request))


@on_job(get="read")
def send_weld_log_list(request: JobRequest, form: str) -> HttpResponseBase:
    """Send every joint that matches as a file."""
    return send_list(weld_log_table(request.job, Wanted.read(request.GET)), request.job.code, form)


def log_lines(rows: tuple[LogRow, ...], steps: Steps) -> list[LogLine]:
    """Give each row its addresses and its ring."""
    return [
        LogLine(
            row,
            steps.card(row.id),
            mark(row.state, row.progress, row.attempts),
            steps.next(row.id, row.next_step, row.assigned),
        )
        for row in rows
    ]


@cache
def mark(state: str, progress: int, attempts: int) -> SafeString:
    """Draw a ring beside which the state stands in words; drawn once, since there are some hundred different ones."""
    drawn = ring_svg(state, progress / 100, attempts - 1, title="-")
    # Nothing in it was written by a person.
    return mark_safe(drawn.replace('role="img"', 'aria-hidden="true"').replace("<title>-</title>", ""))


def _choices(request: JobRequest) -> dict[str, object]:
    """What the filters offer; lines and stamps only where they are few enough to choose from."""
    lines, stamps = names_to_choose(request.job)
    return {
        "line_choices": lines,
        "stamp_choices": stamps,
        "states": STATES,
        "kinds": KINDS,
        "locations": LOCATIONS,
        "methods": METHODS,
        "waits": WAITS,
    }
