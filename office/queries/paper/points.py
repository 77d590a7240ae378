"""Hold and witness points of a scope: the plan of them, and what the owner's inspector did about each."""

from collections.abc import Iterator

from inspection.queries.hold_points import has_open_points, hold_point_plan, open_points
from joints.queries.joint_history import signed
from office.queries.paper.batches import joint_batches
from office.queries.paper.title import About
from office.queries.paper.words import joint_key
from records.lookups import Keys
from records.models import Attendance, Withdrawal
from records.sorting import natural_key
from reports.list_paper import ListPaper, Section
from reports.table import Column
from rules.points import told

_PLAN = (
    Column("Point", 20, "bold"),
    Column("Kind", 24),
    Column("Step", 30),
    Column("Of", 90),
    Column("Document", 60),
    Column("In force", 20),
)
_OPEN = (
    Column("Joint", 44, "bold"),
    Column("Att.", 10),
    Column("Point", 20),
    Column("Kind and step", 44),
    Column("How it stands", 156),
)
_DONE = (
    Column("Joint", 44, "bold"),
    Column("Att.", 10),
    Column("Point", 20),
    Column("Kind and step", 44),
    Column("Result", 26),
    Column("Date", 26),
    Column("By", 44),
    Column("Remark", 60),
)
EMPTY = "No hold or witness point is planned on this job."
_NOTHING_OPEN = "Every point that a joint of this scope has come to is settled."
_NOTHING_DONE = "The owner's inspector was told of no point in this scope yet, and attended or waived none."


def points_paper(about: About, *, signatures: tuple[str, ...] = ()) -> ListPaper:
    """Return the points, those that are open and the records of them, read as the paper is drawn.

    For each 2,000 joints two queries, and sixteen more where points of them are open.
    """
    title = about.title("Hold and witness points", "hold and witness points")
    plan = hold_point_plan(about.job)
    if not plan:
        return ListPaper(title, (), EMPTY, signatures)
    rows = [(one.name, one.kind, one.step, one.applies, one.document, "yes" if one.in_force else "no") for one in plan]
    sections = (
        Section(_PLAN, rows, EMPTY, "The plan"),
        Section(_OPEN, _open(about), _NOTHING_OPEN, "Open"),
        Section(_DONE, _done(about), _NOTHING_DONE, "What the owner's inspector did"),
    )
    return ListPaper(title, sections, EMPTY, signatures)


def _open(about: About) -> Iterator[tuple[str, ...]]:
    for batch in joint_batches(about.scope, which=has_open_points()):
        standing = open_points(about.job, [joint.id for joint in batch])
        for joint in batch:
            for one in standing[joint.id]:
                step = f"{one.point.kind}, {one.point.step}"
                yield joint_key(joint), one.attempt, one.point.name, step, told(one)


def _done(about: About) -> Iterator[tuple[str, ...]]:
    withdrawn = Withdrawal.objects.filter(kind=Attendance._meta.model_name).values("record")
    for batch in joint_batches(about.scope):
        rows = Attendance.objects.filter(joint_id__among=Keys([joint.id for joint in batch]), replaced_by__isnull=True)
        rows = rows.exclude(id__in=withdrawn).select_related("point", "recorded_by")
        places = {joint.id: place for place, joint in enumerate(batch)}
        for one in sorted(
            rows, key=lambda row: (places[row.joint_id], natural_key(row.point.name), row.done_on, row.id)
        ):
            yield (
                joint_key(batch[places[one.joint_id]]),
                one.attempt,
                one.point.name,
                f"{one.point.kind}, {one.point.step}",
                one.result,
                str(one.done_on),
                signed(one),
                one.remark,
            )
