"""The findings of a job, open or overridden: one page, filtered and paged by key."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Case, CharField, Count, IntegerField, QuerySet, Value, When

from records.models import Examination, Finding, FitUp, Job, Joint, Line, Pass
from records.paging import Place, cut
from rules.codes import CODES
from rules.finding import CORRECT, NOTE, STOP

PAGE = 50
LARGEST_ID = 2**63
ANY = UUID(int=0)
SEVERITIES = (STOP, CORRECT, NOTE)
KEYS = ("weight", "code", "joint__sort_key", "id")
COLUMNS = (
    *KEYS, "joint_id", "joint__number", "joint__sheet__drawing", "joint__sheet__number", "joint__line__number",
    "attempt", "severity", "message", "source", "measured", "limit", "unit", "steps",
    "tables", "override__reason", "override__by", "override__done_on", "subject", "record", "joint__state",
    "joint__last_on",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FindingsWanted:
    """What somebody asks the list for; an empty field asks for everything."""

    severity: str = ""
    code: str = ""
    line: str = ""
    overridden: bool = False


@dataclass(frozen=True, slots=True)
class FindingShown:
    """One finding as the list shows it, with its arithmetic, and the override where it has one.

    record_kind  fitup, pass or examination, empty where it speaks of no such record
    since        the day of the record that it speaks of, else the last day on which anything was done at the joint
    """

    joint_id: UUID
    joint: str
    line: str
    attempt: str
    code: str
    severity: str
    message: str
    source: str
    measured: str
    limit: str
    unit: str
    steps: tuple[str, ...]
    tables: tuple[tuple[str, str], ...]
    reason: str
    by: str
    day: Any
    subject: str
    record: str
    record_kind: str
    state: str
    since: date | None


@dataclass(frozen=True, slots=True)
class FindingsPage:
    """One page; `previous` and `next` are the places to page from, as an address carries them."""

    rows: tuple[FindingShown, ...]
    previous: str
    next: str


def findings_page(job: Job, wanted: FindingsWanted, *, after: str = "", before: str = "") -> FindingsPage:
    """Return one page of findings, the weightiest first.

    after, before  a place as `FindingsPage` gave it; findings are made anew by each refresh, so an id would not do
    Two queries; one more to page from a place, one more for a line that is named.
    """
    page = cut(
        findings_wanted(job, wanted).values_list(*COLUMNS),
        KEYS,
        after=_place(job, after),
        before=_place(job, before),
        most=PAGE,
    )
    records = _records([row[-3] for row in page.rows])
    return FindingsPage(
        rows=tuple(_shown(row, *records.get(row[-3], ("", None))) for row in page.rows),
        previous=_written(page.rows[0]) if page.rows and page.has_previous else "",
        next=_written(page.rows[-1]) if page.rows and page.has_next else "",
    )


def counts_by_code(job: Job) -> list[tuple[str, str, int]]:
    """Return (severity, code, count) of the open findings, the weightiest and most frequent first; one query."""
    rows = Finding.objects.filter(job=job, override__isnull=True).order_by()
    found = rows.values_list("severity", "code").annotate(count=Count("id"))
    return sorted(found, key=lambda row: (SEVERITIES.index(row[0]), -row[2], row[1]))


def count_overridden(job: Job) -> int:
    """Count the findings that somebody decided to go on with; one query."""
    return Finding.objects.filter(job=job, override__isnull=False).count()


def findings_wanted(job: Job, wanted: FindingsWanted) -> QuerySet[Finding]:
    """Return the job's findings that match, without order; one query where a line is named."""
    weight = Case(
        *(When(severity=severity, then=Value(place)) for place, severity in enumerate(SEVERITIES)),
        output_field=IntegerField(),
    )
    rows = Finding.objects.filter(job=job, override__isnull=not wanted.overridden).annotate(weight=weight)
    if wanted.severity:
        rows = rows.filter(severity=wanted.severity) if wanted.severity in SEVERITIES else rows.none()
    if wanted.code:
        rows = rows.filter(code=wanted.code) if wanted.code in CODES else rows.none()
    if wanted.line:
        lines = list(Line.objects.filter(job=job, number__iexact=wanted.line).values_list("id", flat=True))
        rows = rows.filter(joint__line_id__in=lines)
    return rows


def _written(row: tuple[Any, ...]) -> str:
    weight, code, _key, finding, joint, *_rest = row
    return f"{weight}.{code}.{finding}.{joint.hex}"


def _place(job: Job, written: str) -> Place | None:
    """Read a place back; what can't be read begins at the start."""
    try:
        weight, code, finding, joint = written.split(".")
        key = Joint.objects.filter(job=job, id=UUID(joint)).values_list("sort_key", flat=True).first()
        place = int(weight), code, key, int(finding)
    except ValueError:
        return None
    return place if key is not None and 0 <= place[3] < LARGEST_ID and 0 <= place[0] <= len(SEVERITIES) else None


def _records(keys: Sequence[str]) -> dict[str, tuple[str, date]]:
    """The kind and the day of the records that findings speak of; one query."""
    # Never none: a question for nothing is not asked, and the page would cost a query less where no record is named.
    ids = [ANY, *(UUID(key) for key in keys if key)]
    first, *others = (
        model._default_manager.filter(id__in=ids)
        .annotate(of_kind=Value(kind, output_field=CharField()))
        .values_list("id", "of_kind", "done_on")
        for kind, model in (("fitup", FitUp), ("pass", Pass), ("examination", Examination))
    )
    return {str(key): (kind, day) for key, kind, day in first.union(*others, all=True)}


def _shown(row: tuple[Any, ...], record_kind: str, recorded_on: date | None) -> FindingShown:
    (
        _weight, code, _key, _id, joint_id, number, drawing, sheet, line, attempt, severity, message, source, measured,
        limit, unit, steps, tables, reason, by, day, subject, record, state, last_on,
    ) = row  # fmt: skip
    return FindingShown(
        joint_id=joint_id,
        joint=f"{drawing}/{sheet}/{number}",
        line=line,
        attempt=attempt,
        code=code,
        severity=severity,
        message=message,
        source=source,
        measured=measured,
        limit=limit,
        unit=unit,
        steps=tuple(steps),
        tables=tuple((table, row) for table, row in tables),
        reason=reason or "",
        by=by or "",
        day=day,
        subject=subject,
        record=record,
        record_kind=record_kind,
        state=state,
        since=recorded_on or last_on,
    )
