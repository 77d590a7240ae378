"""What waits for an examiner: welded joints with the methods that are due and why, and the one that comes next."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from uuid import UUID

from django.db.models import Count, F, QuerySet, Value
from django.db.models.functions import Coalesce

from joints.queries.weld_log import Wanted, joints_wanted
from records.asking import Asking
from records.models import Finding, Job, Joint
from records.models.prefix_index import NOTHING
from records.paging import cut, cut_by_id, place_of
from rules.size_words import show_size

PAGE = 40
DUE = ("examination-due", "extra-examination-due")
# How the queue may be grouped: by the drawing, as one walks along a line, by the spool, or by where it is welded.
ORDERS = {
    "line": ("sort_key", "id"),
    "spool": ("spool_key", "sort_key", "id"),
    "location": ("location", "sort_key", "id"),
}
NAME = ("sheet__drawing", "sheet__number", "number")
COLUMNS = (
    "id", "number", "sheet__drawing", "sheet__number", "line__number", "spool__mark", "spool_b__mark", "kind", "nps",
    "location", "attempt", "state", "stamps", "welded_on", "due",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class QueueWanted(Asking):
    """What an examiner asks for; an empty field asks for everything."""

    method: str = ""
    location: str = ""
    line: str = ""
    spool: str = ""
    by: str = ""

    @property
    def order(self) -> str:
        """The grouping that is asked for, by line where none or an unknown one is named."""
        return self.by if self.by in ORDERS else "line"


@dataclass(frozen=True, slots=True)
class Due:
    """A method that is due on a joint, and the sentence that says why."""

    method: str
    why: str


@dataclass(frozen=True, slots=True)
class DueJoint:
    """A joint with what is due on it, as the queue shows it."""

    id: UUID
    number: str
    sheet: str
    line: str
    spool: str
    size: str
    location: str
    made: str
    stamps: str
    welded_on: date | None
    dues: tuple[Due, ...]


@dataclass(frozen=True, slots=True)
class DueGroup:
    """Neighbours in the queue that are found at one place."""

    head: str
    joints: tuple[DueJoint, ...]


@dataclass(frozen=True, slots=True)
class QueuePage:
    """One page of the queue, grouped, with the ids to page from."""

    groups: tuple[DueGroup, ...]
    previous: UUID | None
    next: UUID | None


def examination_queue(
    job: Job, wanted: QueueWanted, *, after: UUID | None = None, before: UUID | None = None
) -> QueuePage:
    """Return one page of at most PAGE joints; two queries, one more for each line or spool named, one to page from."""
    keys = ORDERS[wanted.order]
    of_job = _keyed(Joint.objects.filter(job=job))
    page = cut_by_id(
        _keyed(_due(job, wanted)).values_list(*keys, *COLUMNS), keys, of_job, after=after, before=before, most=PAGE
    )
    rows = [row[len(keys) :] for row in page.rows]
    whys = _whys([row[0] for row in rows])
    joints = [_shown(row, whys[row[0]], wanted.method, job.units) for row in rows]
    return QueuePage(
        groups=tuple(
            DueGroup(head, tuple(found)) for head, found in groupby(joints, lambda one: _head(one, wanted.order))
        ),
        previous=joints[0].id if joints and page.has_previous else None,
        next=joints[-1].id if joints and page.has_next else None,
    )


def due_by_method(job: Job, wanted: QueueWanted | None = None) -> tuple[tuple[str, int], ...]:
    """How many joints wait for each method, most first; a joint may wait for several. One query."""
    counts: Counter[str] = Counter()
    for methods, count in _due(job, wanted or QueueWanted()).order_by().values_list("due").annotate(count=Count("id")):
        for method in methods.split(", "):
            counts[method] += count
    return tuple(counts.most_common())


def next_due(job: Job, joint: Joint, method: str, wanted: QueueWanted) -> tuple[UUID, str, str] | None:
    """Return (joint, its full name, method) of what comes after, None at the end; at most two queries.

    What else is due on the same joint comes first, unless one method alone is asked for.
    """
    others = [one for one in joint.due.split(", ") if one and one != method]
    if others and not wanted.method:
        return joint.id, f"{joint.sheet.drawing}/{joint.sheet.number}/{joint.number}", others[0]
    keys = ORDERS[wanted.order]
    place = place_of(_keyed(Joint.objects.filter(id=joint.id)), keys, joint.id)
    rows = _keyed(_due(job, wanted)).values_list(*keys, *NAME, "due")
    found = cut(rows, keys, after=place, before=None, most=1).rows
    if not found:
        return None
    *_, key, drawing, sheet, number, due = found[0]
    return key, f"{drawing}/{sheet}/{number}", wanted.method or due.split(", ")[0]


def _due(job: Job, wanted: QueueWanted) -> QuerySet[Joint]:
    asked = Wanted(waits="examine", due=wanted.method, location=wanted.location, line=wanted.line, spool=wanted.spool)
    # `due` above nothing is what the index of joints that wait for an examination holds.
    return joints_wanted(job, asked).filter(due__gt=NOTHING)


def _keyed(joints: QuerySet[Joint]) -> QuerySet[Joint]:
    return joints.annotate(spool_key=Coalesce(F("spool__sort_key"), Value("")))


def _whys(joint_ids: Sequence[UUID]) -> dict[UUID, dict[str, str]]:
    """Why each method is due on each joint, as the rules said it; one query."""
    found: dict[UUID, dict[str, str]] = defaultdict(dict)
    rows = Finding.objects.filter(joint_id__in=joint_ids, code__in=DUE).order_by("id")
    for joint, method, message in rows.values_list("joint_id", "subject", "message"):
        found[joint].setdefault(method, message)
    return found


def _shown(row: tuple, whys: dict[str, str], method: str, units: str) -> DueJoint:
    key, number, drawing, sheet, line, spool, spool_b, kind, nps, location, attempt, state, stamps, day, due = row
    methods = [one for one in due.split(", ") if method in ("", one)]
    return DueJoint(
        id=key,
        number=number,
        sheet=f"{drawing}/{sheet}",
        line=line,
        spool=" / ".join(mark for mark in (spool, spool_b) if mark),
        size=f"{kind} {show_size(nps, units)}",
        location=location,
        made=state if attempt == "0" else f"{state} {attempt}",
        stamps=stamps,
        welded_on=day,
        dues=tuple(Due(one, whys.get(one, "")) for one in methods),
    )


def _head(joint: DueJoint, order: str) -> str:
    if order == "spool":
        return f"Spool {joint.spool.partition(' / ')[0]}" if joint.spool else "Without a spool"
    return joint.location.capitalize() if order == "location" else f"Line {joint.line} · {joint.sheet}"
