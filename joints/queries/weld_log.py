"""The weld log: one page of joints, filtered, searched, and paged by key."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from joints.queries.search import search
from records.asking import Asking
from records.lookups import Keys
from records.models import Finding, Heat, Job, Joint, Line, Spool, Stamp
from records.models.base import Master
from records.models.joint import KINDS, LOCATIONS, STATES
from records.paging import cut_by_id
from rules.size_words import show_size

PAGE = 50
# Counting on would cost more than the page itself; nobody reads further than this by leafing.
COUNTED = 500
NOTHING = "–"
COLUMNS = (
    "id", "number", "sheet__drawing", "sheet__number", "line_id", "line__number", "spool__mark", "spool_b__mark",
    "kind", "nps", "schedule", "location", "state", "attempt", "attempts", "progress", "next_step", "due", "stamps",
    "assigned__code", "welded_on", "accepted_on", "released_on",
)  # fmt: skip
KEYS = ("sort_key", "id")
# What merely comes next is no remark: the row says it already, as what is due and as its next step.
NEXT = ("examination-due", "release-missing")
UNWELDED = ("planned", "fitted", "in progress")
WAITS = ("fit up", "weld", "assign", "examine", "decide repair", "acceptance", "release")
WAIT_IN = {"fit up": ("planned",), "weld": UNWELDED, "decide repair": ("rejected",), "release": ("accepted",)}


@dataclass(frozen=True, slots=True)
class Wanted(Asking):
    """What somebody asks the log for; an empty field asks for everything."""

    line: str = ""
    spool: str = ""
    state: str = ""
    kind: str = ""
    location: str = ""
    stamp: str = ""
    assigned: str = ""
    heat: str = ""
    due: str = ""
    waits: str = ""
    findings: str = ""
    search: str = ""


@dataclass(frozen=True, slots=True)
class LogRow:
    """One joint as the log shows it, worded already: a template that puts words together takes twice as long.

    sheet   drawing/sheet                 size    kind and NPS
    where   schedule, shop or field       made    state, with the attempt where it is not the first
    remark  the worst open finding, whose severity is `weight`; without one the next fact
    """

    id: UUID
    number: str
    sheet: str
    line_id: UUID
    line: str
    spool: str
    size: str
    where: str
    state: str
    made: str
    attempts: int
    progress: int
    next_step: str
    stamps: str
    assigned: str
    remark: str
    weight: str


@dataclass(frozen=True, slots=True)
class LogPage:
    """One page of the log.

    count     joints that match, counted up to COUNTED; `is_more` says that there are more than that
    previous  the id to page before, None on the first page; next likewise after
    """

    rows: tuple[LogRow, ...]
    count: int
    is_more: bool
    previous: UUID | None
    next: UUID | None


def weld_log(job: Job, wanted: Wanted, *, after: UUID | None = None, before: UUID | None = None) -> LogPage:
    """Return one page of at most PAGE joints in the order of their sort key.

    Three queries: the joints, their findings, the count; one more for the joint to page from, and one for each line,
    spool, stamp or heat that is named.
    """
    matching = joints_wanted(job, wanted)
    count = counted(matching)
    of_job = Joint.objects.filter(job=job)
    page = cut_by_id(matching.values_list(*COLUMNS), KEYS, of_job, after=after, before=before, most=PAGE)
    rows = rows_of(page.rows, job.units)
    return LogPage(
        rows=rows,
        count=min(count, COUNTED),
        is_more=count > COUNTED,
        previous=rows[0].id if rows and page.has_previous else None,
        next=rows[-1].id if rows and page.has_next else None,
    )


def first_rows(joints: QuerySet[Joint], most: int, units: str) -> tuple[LogRow, ...]:
    """Return the first joints of a queryset as the log shows them, sizes by the job's units; two queries."""
    return rows_of(list(joints.order_by(*KEYS).values_list(*COLUMNS)[:most]), units)


def rows_of(found: Sequence[tuple], units: str) -> tuple[LogRow, ...]:
    """Turn rows of COLUMNS into rows of the log, sizes by the job's units; one query, for their findings."""
    worst = worst_findings([row[0] for row in found])
    return tuple(_row(row, worst.get(row[0]), units) for row in found)


def counted(joints: QuerySet[Joint]) -> int:
    """Count joints up to one more than COUNTED; one query."""
    return joints.order_by().values("id")[: COUNTED + 1].count()


def joints_wanted(job: Job, wanted: Wanted) -> QuerySet[Joint]:
    """Return the job's joints that match, without order."""
    joints = Joint.objects.filter(job=job)
    for field, known in (("state", STATES), ("kind", KINDS), ("location", LOCATIONS)):
        value = getattr(wanted, field)
        if value:
            joints = joints.filter(**{field: value}) if value in known else joints.none()
    if wanted.line:
        joints = joints.filter(line_id__in=_ids(Line, job, number__iexact=wanted.line))
    if wanted.spool:
        spools = _ids(Spool, job, mark__iexact=wanted.spool)
        joints = joints.filter(Q(spool_id__in=spools) | Q(spool_b_id__in=spools))
    if wanted.assigned:
        joints = joints.filter(assigned_id__in=_ids(Stamp, job, code__iexact=wanted.assigned))
    if wanted.heat:
        heats = _ids(Heat, job, number__iexact=wanted.heat)
        joints = joints.filter(Q(heat_a_id__in=heats) | Q(heat_b_id__in=heats))
    for field, value in (("stamps", wanted.stamp), ("due", wanted.due)):
        joints = joints.filter(listed(field, value)) if value else joints
    joints = _with_findings(_waiting(joints, wanted.waits), wanted.findings)
    return joints.filter(search(job, wanted.search)) if wanted.search else joints


def _ids(model: type[Master], job: Job, **like: str) -> list[UUID]:
    """The keys of the few rows that bear a name; looked up first, so that the index of joints by that key is used."""
    return list(model._default_manager.filter(job=job, **like).values_list("id", flat=True))


def listed(field: str, value: str) -> Q:
    """Match a value in a column that holds several, written "VT, RT"."""
    return (
        Q(**{field: value})
        | Q(**{f"{field}__startswith": f"{value}, "})
        | Q(**{f"{field}__endswith": f", {value}"})
        | Q(**{f"{field}__contains": f", {value}, "})
    )


def worst_findings(joint_ids: Sequence[UUID]) -> dict[UUID, tuple[str, str]]:
    """Return (severity, message) of each joint's worst open finding, without notes and what is only NEXT; one query."""
    found: dict[UUID, tuple[str, str]] = {}
    rows = Finding.objects.filter(joint_id__among=Keys(joint_ids), override__isnull=True).exclude(severity="note")
    rows = rows.exclude(code__in=NEXT)
    for joint, severity, message in rows.order_by("id").values_list("joint_id", "severity", "message"):
        if joint not in found or (severity == "stop" and found[joint][0] != "stop"):
            found[joint] = (severity, message)
    return found


def _waiting(joints: QuerySet[Joint], waits: str) -> QuerySet[Joint]:
    """Narrow to joints that wait for a step.

    "assign" is the step before fitting or welding where nobody is named, "acceptance" whatever is left up to it.
    """
    if not waits:
        return joints
    if waits == "assign":
        return joints.filter(assigned__isnull=True, state__in=UNWELDED, next_step__in=("fit up", "weld"))
    if waits == "acceptance":
        return joints.filter(state__in=(*UNWELDED, "welded", "rejected"))
    if waits == "examine":
        return joints.filter(state__in=("welded", "rejected"), due__gt="")
    # The step follows from the state, by which there is an index.
    return joints.filter(next_step=waits, state__in=WAIT_IN[waits]) if waits in WAIT_IN else joints.none()


def _with_findings(joints: QuerySet[Joint], findings: str) -> QuerySet[Joint]:
    if findings == "stop":
        return joints.filter(stops__gt=0)
    if findings == "held":
        stops = Finding.objects.filter(joint=OuterRef("id"), severity="stop", override__isnull=True)
        return joints.filter(Exists(stops.exclude(code__in=NEXT)), stops__gt=0)
    if findings == "any":
        return joints.filter(Q(stops__gt=0) | Q(corrects__gt=0))
    return joints.none() if findings else joints


def _row(row: tuple, worst: tuple[str, str] | None, units: str) -> LogRow:
    (
        key, number, drawing, sheet, line_id, line, spool, spool_b, kind, nps, schedule, location, state, attempt,
        attempts, progress, next_step, due, stamps, assigned, welded_on, accepted_on, released_on,
    ) = row  # fmt: skip
    days = {"released": released_on, "accepted": accepted_on, "welded": welded_on}
    weight, remark = worst or ("", fact(state, progress, due, assigned or "", days.get(state)))
    return LogRow(
        id=key,
        number=number,
        sheet=f"{drawing}/{sheet}",
        line_id=line_id,
        line=line,
        spool=" / ".join(mark for mark in (spool, spool_b) if mark) or NOTHING,
        size=f"{kind} {show_size(nps, units)}",
        where=f"Sch {schedule} · {location}",
        state=state,
        made=state if attempt == "0" else f"{state} {attempt}",
        attempts=attempts,
        progress=progress,
        next_step=next_step,
        stamps=stamps or NOTHING,
        assigned=assigned or "",
        remark=remark,
        weight=weight,
    )


def fact(state: str, progress: int, due: str, assigned: str, day: date | None) -> str:
    """Say the one thing about a joint without findings that whoever comes next wants to know."""
    if due:
        return f"{due} due"
    if state == "in progress":
        return f"{progress} % of the passes welded"
    if state in ("planned", "fitted") and assigned:
        return f"{assigned} is to weld it"
    return f"on {day.day} {day:%b %Y}" if day else ""
