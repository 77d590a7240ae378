"""The list of findings."""

from collections import Counter
from urllib.parse import urlencode

from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render

from inspection.queries.findings_table import findings_table
from inspection.queries.open_findings import (
    AGES,
    SEVERITIES,
    FindingsWanted,
    count_overridden,
    counts_by_code,
    findings_page,
)
from inspection.to_mend import Mending
from joints.next_step import Steps
from records.access import JobRequest, on_job
from records.clock import today_on
from records.confirmed import confirmed_on
from records.paging import clean
from records.sending import send_list
from rules.acting import ACTING


@on_job(get="read")
def show_findings(request: JobRequest) -> HttpResponse:
    """Show open findings, or those that somebody decided to go on with; with htmx only the list."""
    asked = _asked(request)
    wanted = _wanted(asked)
    page = findings_page(
        request.job, wanted, after=clean(request.GET.get("after")), before=clean(request.GET.get("before"))
    )
    steps = Steps(request.job, request.verbs)
    mending, today = Mending(request.job, request.verbs), today_on(request.job)
    context = {
        "today": today,
        "page": page,
        "lines": [(row, steps.card(row.joint_id), mending.of(row)) for row in page.rows],
        "wanted": wanted,
        "owners": ACTING,
        "ages": AGES,
        "confirmed": confirmed_on(request.job),
        "asked": urlencode({name: value for name, value in asked.items() if value}),
    }
    if request.htmx and not request.htmx.boosted:
        return render(request, "inspection/_findings_list.html", context)
    counts = counts_by_code(request.job)
    totals = [(severity, sum(count for one, _, count in counts if one == severity)) for severity in SEVERITIES]
    kinds: Counter[str] = Counter()
    for severity, code, count in counts:
        if wanted.severity in ("", severity):
            kinds[code] += count
    if wanted.code:
        kinds[wanted.code] += 0  # what the list is narrowed to stays chosen
    context |= {"kinds": tuple(kinds.items()), "totals": totals, "overridden": count_overridden(request.job)}
    return render(request, "inspection/findings.html", context)


@on_job(get="read")
def send_findings_list(request: JobRequest, form: str) -> HttpResponseBase:
    """Send the findings that match as a file."""
    return send_list(findings_table(request.job, _wanted(_asked(request))), request.job.code, form)


def _asked(request: JobRequest) -> dict[str, str]:
    return {name: clean(request.GET.get(name)) for name in ("severity", "code", "line", "shown", "owner", "days")}


def _wanted(asked: dict[str, str]) -> FindingsWanted:
    return FindingsWanted(
        severity=asked["severity"],
        code=asked["code"],
        line=asked["line"],
        overridden=asked["shown"] == "overridden",
        owner=asked["owner"] if asked["owner"] in ACTING else "",
        days=int(asked["days"]) if asked["days"] in map(str, AGES) else 0,
    )
