"""A sheet's route as its isometric on the screen, each joint with its ring and its address."""

from django.urls import reverse

from office.queries.paper.title import About, about
from office.queries.paper.words import joint_ring
from office.queries.scope import Scope
from records.models import Joint, Sheet, User
from reports.data import MapJoint, Ring
from reports.isometric.drawn import Isometric, Weld
from reports.isometric.from_route import Writing, from_route
from reports.isometric.screen import isometric_svgs
from rules.route.shape import JointPlace, RouteShape
from rules.route.written import dimension_text
from rules.size_words import show_pipe_size

_PLANNED = Ring("planned", 0, 0)


def route_svgs(sheet: Sheet, shape: RouteShape, *, by: User) -> list[str]:
    """The isometric of a shape as SVGs, one for each sheet that it takes; two queries.

    shape   with the numbers of the sheet's joints; a number that is new is drawn as planned
    """
    if not shape.pipes:
        return []
    drawing = _drawing(about(Scope(sheet.job), by), sheet, shape)
    return isometric_svgs(drawing)


def _drawing(about_it: About, sheet: Sheet, shape: RouteShape) -> Isometric:
    units = sheet.job.units
    joints = {row.number: row for row in Joint.objects.filter(sheet=sheet).select_related("spool", "spool_b")}
    welds = {one.number: _weld(sheet, one, joints.get(one.number)) for one in shape.joints}
    return from_route(
        shape,
        title=about_it.title_of_sheet(sheet, 1),
        writing=Writing(lambda mm: dimension_text(mm, units), units),
        joints=welds,
    )


def _weld(sheet: Sheet, place: JointPlace, joint: Joint | None) -> Weld:
    at = place.at.floats()
    drawn = MapJoint(
        place.number,
        joint_ring(joint) if joint else _PLANNED,
        place.kind,
        show_pipe_size(place.nps, place.schedule, sheet.job.units),
        place.location,
        place.spool,
        place.spool_b,
    )
    href = reverse("joint", args=[sheet.job.code, joint.pk]) if joint else ""
    finding = "stop" if joint and joint.stops else "correct" if joint and joint.corrects else ""
    return Weld(at, drawn, href=href, finding=finding)
