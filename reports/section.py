"""The joint in section, to scale, with its numbers where a fitter looks for them."""

from collections.abc import Callable

from reports.data import SectionData
from reports.section_branch import branch, slip_on
from reports.section_butt import butt
from reports.section_marks import Sheet
from reports.section_socket import socket
from reports.svg import svg

PLANS: dict[str, Callable[[SectionData], Sheet | None]] = {
    "socket": socket,
    "butt": butt,
    "branch": branch,
    "olet": branch,
    "slip-on": slip_on,
}


def section_svg(data: SectionData, *, title: str = "") -> str | None:
    """The section as an inline SVG, or None where the kind has no section or its dimensions are not known.

    Lengths are drawn to one scale; the centre line is not, and says so. Source of the shapes: common practice, no
    source; every number on the drawing is the caller's.
    """
    sheet = section_sheet(data)
    if sheet is None:
        return None
    words = title or f"{data.kind} joint in section"
    return svg(sheet.shapes, width=sheet.width, height=sheet.height, title=words, kind="section")


def section_sheet(data: SectionData) -> Sheet | None:
    """The same as shapes, for paper."""
    plan = PLANS.get(data.kind)
    if plan is None or data.pipe_wall.value <= 0:
        return None
    return plan(data)
