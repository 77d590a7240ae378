"""The page of a line: how far it has come, its weld map, joints and papers."""

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import mark_safe

from joints.next_step import Steps
from joints.queries.line_page import MOST, line_page
from joints.views.weld_log import log_lines
from office.queries.extents import below_code_of
from office.queries.papers import weld_map_svg
from records.access import JobRequest, on_job
from records.models import Line


@on_job(get="read")
def show_line(request: JobRequest, line: UUID) -> HttpResponse:
    """Show a line; a map of more joints than stand on the page is only offered as a paper."""
    found = get_object_or_404(Line.objects.select_related("exam_plan"), job=request.job, id=line)
    page = line_page(found)
    drawn = ""
    if 0 < page.tally.joints + page.tally.withdrawn <= MOST:
        # The pen escapes every text; nothing else in it was written by a person.
        drawn = mark_safe(weld_map_svg(request.job, found, by=request.user))
    lines = log_lines(page.joints, Steps(request.job, request.verbs))
    context = {
        "page": page,
        "line": found,
        "lines": lines,
        "map": drawn,
        "below_code": below_code_of(request.job, [found]).get(found.id, ()),
    }
    return render(request, "office/line.html", context)
