"""Hold and witness points: those that wait for the owner's inspector, and the plan of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Exists, OuterRef, Q
from django.db.models.expressions import Combinable

from records.clock import today_on
from records.facts import OF_JOINT, job_facts, joint_facts
from records.models import Finding, HoldPoint, Job, Joint
from records.paging import cut_by_id
from records.papers import RecordsOnly
from records.sorting import natural_key
from rules.attempts import live
from rules.case import open_case
from rules.facts import JointFacts, PointFacts
from rules.points import CODE, Standing, called, standings
from rules.points import told as told_of
from rules.size_words import show_size

PAGE = 25
KEYS = ("sort_key", "id")
_SHOWN = ("line__number", "state", "attempt", "stamps")
_JOINT = (*OF_JOINT, *_SHOWN)


@dataclass(frozen=True, slots=True)
class PointShown:
    """One point of a joint as the owner's inspector sees it.

    key    joint, point and attempt, as a form sends them
    words  where it stands: what went on without the owner, or that it waits
    """

    key: str
    called: str
    words: str
    is_passed: bool


@dataclass(frozen=True, slots=True)
class JointWaiting:
    """A joint with the points that wait on it."""

    id: UUID
    name: str
    line: str
    about: str
    points: tuple[PointShown, ...]


@dataclass(frozen=True, slots=True)
class Waiting:
    """One page of the joints on which points wait, with the ids to page from."""

    joints: tuple[JointWaiting, ...] = ()
    count: int = 0
    previous: UUID | None = None
    next: UUID | None = None

    @property
    def choices(self) -> list[tuple[str, str]]:
        """Every point on the page, as a form offers them."""
        return [(one.key, f"{joint.name}: {one.called}") for joint in self.joints for one in joint.points]


@dataclass(frozen=True, slots=True)
class PlannedPoint:
    """A point of the plan: what it is, of which joints, and which document asks for it."""

    id: UUID
    name: str
    kind: str
    step: str
    applies: str
    document: str
    in_force: bool


def waiting_points(
    job: Job, *, after: UUID | None = None, before: UUID | None = None, most: int = PAGE, count: bool = True
) -> Waiting:
    """Return one page of joints on which points wait; at most sixteen queries, whatever their number."""
    joints = Joint.objects.filter(job=job, waits__gt=0)
    page = cut_by_id(
        joints.values_list(*KEYS, *_JOINT), KEYS, Joint.objects.filter(job=job), after=after, before=before, most=most
    )
    found = _shown(job, [row[len(KEYS) :] for row in page.rows], only_waiting=True)
    return Waiting(
        joints=found,
        count=joints.count() if count else 0,
        previous=found[0].id if found and page.has_previous else None,
        next=found[-1].id if found and page.has_next else None,
    )


def points_of(job: Job, joint: UUID) -> Waiting:
    """Return every point that the plan asks of one joint, with those that are not come to yet; constant queries."""
    rows = list(Joint.objects.filter(job=job, id=joint).values_list(*_JOINT))
    found = _shown(job, rows, only_waiting=False)
    return Waiting(joints=found, count=len(found))


def has_open_points() -> Combinable | Q:
    """What a joint has on which a point waits or was passed without the owner's inspector."""
    return Q(waits__gt=0) | Exists(Finding.objects.filter(joint=OuterRef("pk"), code=CODE))


def open_points(job: Job, joints: Sequence[UUID]) -> dict[UUID, list[Standing]]:
    """Return by joint the points that it has come to and that are not settled; constant queries."""
    settings, facts = job_facts(job, today_on(job)), joint_facts(RecordsOnly(job), joints)
    return {joint: standings(open_case(facts[joint], settings)) for joint in joints}


def hold_point_plan(job: Job) -> list[PlannedPoint]:
    """Return the plan of a job in the order of its items, those out of force last; one query."""
    rows = HoldPoint.objects.filter(job=job).select_related("line")
    return [
        PlannedPoint(row.id, row.name, row.kind, row.step, _applies(row), row.document, row.in_force)
        for row in sorted(rows, key=lambda row: (not row.in_force, natural_key(row.name)))
    ]


def _applies(row: HoldPoint) -> str:
    parts = (
        f"line {row.line.number}" if row.line else "",
        f"class {row.piping_class}" if row.piping_class else "",
        f"{row.joint_kind} joints" if row.joint_kind else "",
    )
    return ", ".join(filter(None, parts)) or "every joint"


def _shown(job: Job, rows: Sequence[tuple], *, only_waiting: bool) -> tuple[JointWaiting, ...]:
    if not rows:
        return ()
    settings, keys = job_facts(job, today_on(job)), [row[0] for row in rows]
    facts = joint_facts(RecordsOnly(job), keys, rows=[row[: len(OF_JOINT)] for row in rows])
    found = []
    for key, (line, state, attempt, stamps) in zip(keys, (row[len(OF_JOINT) :] for row in rows), strict=True):
        joint = facts[key]
        case = open_case(joint, settings)
        open_here = standings(case)
        if only_waiting:
            open_here = [one for one in open_here if one.waits]
        points = [_point(key, one) for one in open_here]
        if not only_waiting:
            points += _ahead(key, joint, live(case.derived.attempts)[-1], open_here)
        made = f" · welded by {stamps}" if stamps else ""
        about = (
            f"{joint.kind} {show_size(joint.nps, job.units)} · {state}{'' if attempt == '0' else ' ' + attempt}{made}"
        )
        found.append(JointWaiting(key, joint.key, line, about, tuple(points)))
    return tuple(found)


def _point(joint: UUID, one: Standing) -> PointShown:
    return PointShown(_key(joint, one.point, one.attempt), called(one.point), told_of(one), one.is_passed)


def _ahead(joint: UUID, facts: JointFacts, attempt: str, standing: Sequence[Standing]) -> list[PointShown]:
    """The points that are not come to yet, or are settled; either can still be attended."""
    named = {one.point.id for one in standing}
    done = {one.point: one for one in facts.attendances if one.attempt == attempt}
    found = []
    for point in facts.points:
        if point.id not in named:
            last = done.get(point.id)
            words = f"{last.result} on {last.done_on} by {last.by}" if last else "not come to yet"
            found.append(PointShown(_key(joint, point, attempt), called(point), words, False))
    return found


def _key(joint: UUID, point: PointFacts, attempt: str) -> str:
    return f"{joint.hex}.{point.id}.{attempt}"
