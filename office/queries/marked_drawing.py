"""The drawing of a sheet with its joints marked on it: for the page, for paper and for the package."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from django.urls import reverse

from office.queries.paper.words import joint_ring
from records.models import Job, Joint, JointMark, Sheet, SheetDrawing
from reports.data import Ring
from reports.marked_drawing import Marked, marked_pdf, marked_svg
from rules.units import US

MM_PER_POINT, IN_PER_POINT = 25.4 / 72, 1 / 72


@dataclass(frozen=True, slots=True)
class JointToMark:
    """A joint of the sheet as the list beside the drawing shows it; `page` is 0 where it is not on the drawing."""

    id: UUID
    number: str
    kind: str
    state: str
    ring: Ring
    page: int
    x: str
    y: str
    is_to_confirm: bool


@dataclass(frozen=True, slots=True)
class DrawingShown:
    """A sheet's drawing as its page shows it; without one `drawing` is None.

    svg       the page that is asked for, its picture under the marks
    joints    of the sheet, in order; `left` those that are not on the drawing yet
    """

    drawing: SheetDrawing | None
    others: tuple[SheetDrawing, ...]
    page: int
    pages: int
    svg: str
    joints: tuple[JointToMark, ...]
    left: tuple[JointToMark, ...]
    to_confirm: tuple[JointToMark, ...]
    unit: str
    size: tuple[str, str]


def drawing_of(sheet: Sheet, drawings: Sequence[SheetDrawing]) -> SheetDrawing | None:
    """The drawing of the sheet's revision among its drawings, or the latest; None without any."""
    own = [one for one in drawings if one.revision == sheet.revision]
    return own[0] if own else drawings[0] if drawings else None


def drawing_shown(sheet: Sheet, *, page: int = 1, wanted: UUID | None = None, is_open: bool = False) -> DrawingShown:
    """Return a sheet's drawing with its marks; three queries, however many joints there are.

    wanted   the drawing of another revision
    is_open  whether its marks may be moved
    """
    drawings = list(SheetDrawing.objects.filter(sheet=sheet).order_by("-id"))
    named = next((one for one in drawings if one.pk == wanted), None)
    drawing = named or drawing_of(sheet, drawings)
    joints = list(Joint.objects.filter(sheet=sheet).exclude(state="withdrawn").order_by("sort_key", "id"))
    marks = {one.joint_id: one for one in JointMark.objects.filter(drawing=drawing)} if drawing else {}
    factor, unit = per_point(sheet.job)
    listed = tuple(_listed(joint, marks.get(joint.pk), factor) for joint in joints)
    pages = len(drawing.pages) if drawing else 0
    page = min(max(page, 1), pages) if pages else 0
    size = drawing.page(page) if drawing else (0, 0)
    return DrawingShown(
        drawing=drawing,
        others=tuple(one for one in drawings if one is not drawing),
        page=page,
        pages=pages,
        svg=_svg(sheet, drawing, page, joints, marks, is_open=is_open) if drawing else "",
        joints=listed,
        left=tuple(one for one in listed if not one.page),
        to_confirm=tuple(one for one in listed if one.is_to_confirm),
        unit=unit,
        size=(f"{float(size[0]) * factor:.{_places(unit)}f}", f"{float(size[1]) * factor:.{_places(unit)}f}"),
    )


def per_point(job: Job) -> tuple[float, str]:
    """What a point is in the unit in which places are typed, and that unit."""
    return (IN_PER_POINT, "in") if job.units == US else (MM_PER_POINT, "mm")


def _places(unit: str) -> int:
    return 2 if unit == "in" else 0


def _listed(joint: Joint, mark: JointMark | None, factor: float) -> JointToMark:
    is_there = mark is not None and mark.page > 0
    x, y = (f"{float(mark.x_pt) * factor:.2f}", f"{float(mark.y_pt) * factor:.2f}") if mark and is_there else ("", "")
    return JointToMark(
        joint.pk, joint.number, joint.kind, joint.state, joint_ring(joint), mark.page if mark else 0, x, y,
        bool(mark and is_there and mark.is_to_confirm),
    )  # fmt: skip


def _svg(
    sheet: Sheet,
    drawing: SheetDrawing,
    page: int,
    joints: Sequence[Joint],
    marks: Mapping[UUID, JointMark],
    *,
    is_open: bool,
) -> str:
    code = sheet.job.code
    shown = [
        marked(joint, mark, href=reverse("joint", args=[code, joint.pk]))
        for joint in joints
        if (mark := marks.get(joint.pk)) is not None and mark.page == page
    ]
    wide, high = drawing.page(page)
    name = f"Drawing {sheet.drawing}, sheet {sheet.number}, page {page}"
    picture = reverse("drawing-page", args=[code, drawing.pk, page])
    return marked_svg(
        shown, picture=picture, wide=float(wide), high=float(high), name=name, is_open=lambda one: is_open
    )


def marked(joint: Joint, mark: JointMark, *, href: str = "") -> Marked:
    """A joint as it stands on the drawing."""
    return Marked(
        joint.number,
        joint_ring(joint),
        (float(mark.x_pt), float(mark.y_pt)),
        (float(mark.label_x_pt), float(mark.label_y_pt)),
        href,
        str(joint.pk),
        mark.is_to_confirm,
    )


def drawing_pdf(drawing: SheetDrawing) -> bytes:
    """The drawing with the marks of its joints over it; one query. Raises FileNotFoundError where the file is gone."""
    pages: defaultdict[int, list[Marked]] = defaultdict(list)
    rows = JointMark.objects.filter(drawing=drawing, page__gt=0).exclude(joint__state="withdrawn")
    for mark in rows.select_related("joint").order_by("joint__sort_key", "joint_id"):
        pages[mark.page].append(marked(mark.joint, mark))
    with drawing.file.open("rb") as stream:
        return marked_pdf(stream.read(), pages)
