"""The page of a line: how far it has come, its drawings, joints and papers."""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.safestring import mark_safe

from joints.next_step import Steps
from joints.queries.line_page import MOST, line_page
from joints.views.weld_log import log_lines
from office.queries.extents import below_code_of
from office.queries.line_drawings import LineDrawn, line_drawn
from office.queries.papers import line_drawings
from records.access import JobRequest, on_job
from records.models import Line
from records.paging import clean
from reports.page import SIZES
from reports.ring import STATES

MOST_DRAWN = 200  # joints of a line with routes; an isometric is on a page what a map is, and its joints are links


@on_job(get="read")
def show_line(request: JobRequest, line: UUID) -> HttpResponse:
    """Show a line; a drawing of more joints than a page carries is only offered as a paper."""
    found = get_object_or_404(Line.objects.select_related("exam_plan"), job=request.job, id=line)
    page = line_page(found, request.job)
    drawn = None
    if 0 < page.tally.joints + page.tally.withdrawn <= (MOST_DRAWN if page.has_routes else MOST):
        asked = {name: clean(request.GET.get(name)) for name in ("state", "finding")}
        drawn = line_drawn(line_drawings(request.job, found, by=request.user), **asked)
    lines = log_lines(page.joints, Steps(request.job, request.verbs))
    shown = {
        "page": page,
        "line": found,
        "lines": lines,
        "states": STATES,
        "papers": SIZES,
        "below_code": below_code_of(request.job, [found]).get(found.id, ()),
    }
    return render(request, "office/line.html", shown | _marked(drawn))


def _marked(drawn: LineDrawn | None) -> dict[str, Any]:
    """The drawings as mark-up: the pen escapes every text, and nothing else in them was written by a person."""
    if drawn is None:
        return {"map": "", "isometrics": []}
    isometrics = [(one.name, [mark_safe(svg) for svg in one.drawings]) for one in drawn.isometrics]
    listed = [{"name": name, "drawings": svgs} for name, svgs in isometrics]
    return {"map": mark_safe(drawn.map), "isometrics": listed, "asked": drawn.asked}
