"""Mark joints on the drawing of their sheet, one or hundreds; move, confirm and take off such marks."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from joints.actions.save_plan import save_plan
from joints.actions.upload_drawing import VERB
from records.models import Job, Joint, JointMark, SheetDrawing, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from reports.marked_drawing import size_of


@dataclass(frozen=True, slots=True)
class Place:
    """Where a joint is to stand, in points from the top left corner of a page; without a label it stands beside."""

    joint: UUID
    page: int
    at: tuple[Decimal, Decimal]
    label: tuple[Decimal, Decimal] | None = None


@retried
def mark_joints(drawing: SheetDrawing, places: Sequence[Place], *, job: Job, by: User) -> list[JointMark]:
    """Place joints on a drawing, or move those that are on it; where nothing changes nothing is written.

    Raises  NotAllowed, Implausible (a joint of another sheet, a page or a place that the drawing has not)
    """
    require(by, job, VERB)
    with transaction.atomic():
        SheetDrawing.objects.select_for_update(no_key=True).get(job=job, pk=drawing.pk)
        ids = [one.joint for one in places]
        joints = set(Joint.objects.filter(job=job, sheet=drawing.sheet_id, id__in=ids).values_list("id", flat=True))
        faults = [fault for one in places for fault in _faults(one, drawing, joints)]
        if faults:
            raise Implausible.of(*faults)
        marks = {one.joint_id: one for one in JointMark.objects.filter(drawing=drawing, joint__in=ids)}
        rows = []
        for one in places:
            mark = marks.get(one.joint) or JointMark(drawing=drawing, joint_id=one.joint)
            label = one.label or _beside(one, mark, drawing)
            mark.page, mark.is_to_confirm = one.page, False
            (mark.x_pt, mark.y_pt), (mark.label_x_pt, mark.label_y_pt) = one.at, label
            rows.append(mark)
        save_plan(rows, job=job, by=by, verb=VERB)
    return rows


@retried
def confirm_marks(drawing: SheetDrawing, joints: Iterable[UUID], *, job: Job, by: User) -> int:
    """Confirm that marks carried over stand right; returns how many were still open. Raises NotAllowed"""
    require(by, job, VERB)
    with transaction.atomic():
        marks = JointMark.objects.select_for_update(no_key=True, of=("self",))
        rows = list(marks.filter(job=job, drawing=drawing, joint__in=list(joints), is_to_confirm=True))
        for mark in rows:
            mark.is_to_confirm = False
        return len(save_plan(rows, job=job, by=by, verb=VERB))


@retried
def take_off_marks(drawing: SheetDrawing, joints: Iterable[UUID], *, job: Job, by: User) -> int:
    """Take joints off a drawing; they can be placed again. Returns how many stood on it. Raises NotAllowed"""
    require(by, job, VERB)
    with transaction.atomic():
        marks = JointMark.objects.select_for_update(no_key=True, of=("self",))
        rows = list(marks.filter(job=job, drawing=drawing, joint__in=list(joints), page__gt=0))
        for mark in rows:
            mark.page, mark.is_to_confirm = 0, False
        return len(save_plan(rows, job=job, by=by, verb=VERB))


def _faults(one: Place, drawing: SheetDrawing, joints: set[UUID]) -> Iterable[Fault]:
    if one.joint not in joints:
        yield Fault("joint", "This joint is not on the sheet of the drawing.", "a joint of this sheet")
    try:
        wide, high = drawing.page(one.page)
    except IndexError:
        yield Fault("page", f"The drawing has no page {one.page}.", f"1 to {len(drawing.pages)}")
        return
    for name, (x, y) in (("place", one.at), ("label", one.label or one.at)):
        if not (0 <= x <= wide and 0 <= y <= high):
            what = "weld" if name == "place" else "ring"
            yield Fault(
                name, f"The place of the {what} is not on page {one.page}.", f"0 to {wide} across and 0 to {high} down"
            )


def _beside(one: Place, mark: JointMark, drawing: SheetDrawing) -> tuple[Decimal, Decimal]:
    """The ring beside the weld, as far from it as it was before; above and to the right at first, and on the page."""
    wide, high = drawing.page(one.page)
    step = Decimal(str(round(size_of(float(wide), float(high)) * 1.6, 2)))
    is_moved = mark.page == one.page and mark.x_pt is not None
    dx, dy = (mark.label_x_pt - mark.x_pt, mark.label_y_pt - mark.y_pt) if is_moved else (step, -step)
    x, y = one.at[0] + dx, one.at[1] + dy
    if not 0 <= x <= wide:
        x = one.at[0] - dx
    if not 0 <= y <= high:
        y = one.at[1] - dy
    return min(max(x, Decimal(0)), wide), min(max(y, Decimal(0)), high)
