"""The isometric on the screen: one SVG a sheet, in which each joint is a link with its title."""

from collections.abc import Callable, Sequence
from xml.sax.saxutils import escape, quoteattr

from reports.drawing import Point, Shape
from reports.isometric.arrange import Written
from reports.isometric.candidates import RING
from reports.isometric.drawn import Isometric, Weld
from reports.isometric.placement.flat import Box
from reports.isometric.sheet import Sheet, sheets
from reports.ring import BOX, ring_shapes, ring_words
from reports.svg import element, group

WIDE, HIGH = 1120.0, 690.0  # units of one sheet: the room of an A3 sheet
EDGE = 8.0
ROOM: Box = (EDGE, EDGE, WIDE - EDGE, HIGH - EDGE)
# Few joints stand on a smaller sheet, so that they are larger on the screen: up to so many, this part of the whole.
SMALLER = ((12, 0.5), (28, 0.72))
FINDINGS = {"stop": "a finding stops its release", "correct": "a finding is to be corrected"}


def isometric_svgs(drawing: Isometric, *, shown: Callable[[Weld], bool] | None = None) -> list[str]:
    """The isometric as SVGs, one for each sheet it takes; joints that are not `shown` stand aside in thin ink."""
    made, share = _made(drawing)
    shows = shown or _every
    return [_svg(drawing, sheet, number, len(made), share, shows) for number, sheet in enumerate(made, start=1)]


def _made(drawing: Isometric) -> tuple[list[Sheet], float]:
    """The sheets, and the part of a whole sheet's size that they have."""
    for most, share in SMALLER:
        if len(drawing.welds) <= most:
            made = sheets(drawing, (EDGE, EDGE, WIDE * share - EDGE, HIGH * share - EDGE))
            if len(made) == 1 and made[0].arranged.homeless == 0:
                return made, share
    return sheets(drawing, ROOM), 1.0


def stacked(drawings: Sequence[str]) -> str:
    """Several sheets as one SVG, one under the other, for a file."""
    inside = "".join(
        drawing.replace("<svg ", f'<svg y="{place * HIGH:g}" width="{WIDE:g}" height="{HIGH:g}" ', 1)
        for place, drawing in enumerate(drawings)
    )
    whole = HIGH * len(drawings)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE:g} {whole:g}">{inside}</svg>'


def _every(_: Weld) -> bool:
    return True


def _svg(drawing: Isometric, sheet: Sheet, number: int, count: int, share: float, shown: Callable[[Weld], bool]) -> str:
    part = f", part {number} of {count}" if count > 1 else ""
    joints = len(sheet.scene.welds)
    name = f"Isometric {drawing.title.number}{part}, {joints} {'joint' if joints == 1 else 'joints'}"
    fixed = [*sheet.corner, *sheet.scene.shapes]
    body = "".join(element(shape) for shape in fixed)
    for one in sheet.arranged.written:
        if one.weld is None:
            body += "".join(element(shape) for shape in one.shapes)
    placed = {id(one.weld): one for one in sheet.arranged.written if one.weld is not None}
    for weld, _, shapes in sheet.scene.welds:
        body += _joint(weld, shapes, placed.get(id(weld)), aside=not shown(weld))
    # A drawing with links in it is a group: the role of an image would hide them from those who do not see it.
    kind = "isometric is-small" if share < 1 else "isometric"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind}" role="group" aria-label={quoteattr(name)} '
        f'viewBox="0 0 {WIDE * share:g} {HIGH * share:g}">{body}</svg>'
    )


def _joint(weld: Weld, marks: list[Shape], written: Written | None, *, aside: bool) -> str:
    shapes = [*marks, *(written.shapes if written else [])]
    body = "".join(element(shape) for shape in shapes)
    words = joint_words(weld)
    if written is not None and written.ring is not None:
        ring = ring_shapes(weld.joint.ring, RING * 1.6)
        body += _ring(ring, written.ring, ring_words(weld.joint.ring))
    classes = "iso-joint iso-aside" if aside else "iso-joint"
    title = f"<title>{escape(words)}</title>"
    if not weld.href:
        return f'<g class="{classes}">{title}{body}</g>'
    return f'<a class="{classes}" href={quoteattr(weld.href)} aria-label={quoteattr(words)}>{title}{body}</a>'


def _ring(shapes: list[Shape], at: Point, words: str) -> str:
    return group(shapes, at=at, scale=RING / BOX, title=words)


def joint_words(weld: Weld) -> str:
    """A joint in words: number, kind, place, state, and whether a finding is open."""
    joint = weld.joint
    parts = [
        f"Joint {joint.number}",
        joint.kind,
        joint.location,
        ring_words(joint.ring),
        FINDINGS.get(weld.finding, ""),
    ]
    return ", ".join(part for part in parts if part)
