"""The start page of a job: what waits for whoever opens it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render

from inspection.forms.attendance_form import AttendanceForm
from joints.next_step import Steps
from joints.views.weld_log import LogLine, log_lines
from office.queries import start_pages
from office.queries.start_pages import Waiting
from records.access import JobRequest, on_job
from records.models import Job, User
from records.models.job import ROLES
from records.templatetags.spoolbook import person

PARTS: dict[str, tuple[Callable[[Job, User], Any], str]] = {
    "welder": (start_pages.for_welder, "office/_start_welder.html"),
    "foreman": (start_pages.for_foreman, "office/_start_foreman.html"),
    "inspector": (start_pages.for_inspector, "office/_start_inspector.html"),
    "engineer": (start_pages.for_engineer, "office/_start_engineer.html"),
    "owner": (start_pages.for_owner, "office/_start_owner.html"),
    "client": (start_pages.for_reader, "office/_start_reader.html"),
    "administrator": (start_pages.for_administrator, "office/_start_administrator.html"),
}

OWNERS = "office/_start_owner.html"


@dataclass(frozen=True, slots=True)
class Part:
    """What one role finds on the page."""

    role: str
    template: str
    waits: Any
    lists: dict[str, list[LogLine]]


@on_job(get="read")
def show_job(request: JobRequest) -> HttpResponse:
    """Show how far the job is, and a part for each role that the person holds."""
    steps = Steps(request.job, request.verbs)
    parts: dict[str, Part] = {}
    # What a client finds, an owner's inspector finds too.
    roles = request.roles - {"client"} if "owner" in request.roles else request.roles
    for role in ROLES:
        if role in roles:
            ask, template = PARTS[role]
            parts[template] = _part(role, template, ask(request.job, request.user), steps)
    context = {
        "tally": start_pages.of_job(request.job),
        "parts": list(parts.values()),
        "form": _attendance_form(request, parts.get(OWNERS)),
    }
    return render(request, "office/job.html", context)


def _attendance_form(request: JobRequest, part: Part | None) -> AttendanceForm | None:
    """The form by which an owner's inspector settles what waits, where something does."""
    if part is None or not part.waits.points.joints:
        return None
    choices = part.waits.points.choices
    return AttendanceForm(job=request.job, choices=choices, name=person(request.user), may_attend=True)


def _part(role: str, template: str, waits: Any, steps: Steps) -> Part:
    named = {name: getattr(waits, name) for name in waits.__slots__}
    lists = {name: log_lines(value.rows, steps) for name, value in named.items() if isinstance(value, Waiting)}
    return Part(role, template, waits, lists)
