"""The findings of a job, open or overridden: one page, filtered and paged by key."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.db.models import CharField, Count, QuerySet, Value

from records.clock import today_on
from records.models import Examination, Finding, FitUp, Job, Joint, Line, Pass
from records.paging import Place, cut
from rules.acting import WEIGHTS, finding_key, key_after, key_of
from rules.codes import CODES

PAGE = 50
LARGEST_ID = 2**63
ANY = UUID(int=0)
SEVERITIES = WEIGHTS
# The weightiest first, or what has been open longest; an index of each holds the open findings in that order.
KEYS = ("sort_key", "id")
AGE_KEYS = ("since", "id")
# Findings of at least so many days may be asked for.
AGES = (7, 30, 90)
COLUMNS = (
    "sort_key", "since", "id", "code", "joint_id", "joint__number", "joint__sheet__drawing", "joint__sheet__number",
    "joint__line__number", "attempt", "severity", "message", "source", "measured", "limit", "unit", "steps", "tables",
    "override__reason", "override__by", "override__done_on", "subject", "record", "joint__state", "owner",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FindingsWanted:
    """What somebody asks the list for; an empty field asks for everything.

    owner   the role that has to act
    days    open since so many days at least, the longest first; 0 asks for no age
    """

    severity: str = ""
    code: str = ""
    line: str = ""
    overridden: bool = False
    owner: str = ""
    days: int = 0

    @property
    def keys(self) -> tuple[str, ...]:
        """What the list is ordered by."""
        return AGE_KEYS if self.days else KEYS


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
    owner: str


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
    columns = [name for name in COLUMNS if name not in wanted.keys]
    page = cut(
        findings_wanted(job, wanted).values_list(*wanted.keys, *columns),
        wanted.keys,
        after=_place(job, wanted, after),
        before=_place(job, wanted, before),
        most=PAGE,
    )
    rows = [dict(zip((*wanted.keys, *columns), row, strict=True)) for row in page.rows]
    kinds = _kinds([row["record"] for row in rows])
    return FindingsPage(
        rows=tuple(_shown(row, kinds.get(row["record"], "")) for row in rows),
        previous=_written(rows[0], wanted) if rows and page.has_previous else "",
        next=_written(rows[-1], wanted) if rows and page.has_next else "",
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
    """Return the job's findings that match, without order; one query where a line is named.

    A severity is a range of the sort key, so that one index answers with it and without.
    """
    rows = Finding.objects.filter(job=job, override__isnull=not wanted.overridden)
    if wanted.severity and wanted.severity not in SEVERITIES or wanted.code and wanted.code not in CODES:
        return rows.none()
    if wanted.code:
        rows = rows.filter(code=wanted.code)
    if wanted.severity:
        beginning = key_of(wanted.severity)
        rows = rows.filter(sort_key__gte=beginning, sort_key__lt=key_after(beginning))
    if wanted.owner:
        rows = rows.filter(owner=wanted.owner)
    if wanted.days:
        rows = rows.filter(since__lte=today_on(job) - timedelta(days=wanted.days))
    if wanted.line:
        lines = list(Line.objects.filter(job=job, number__iexact=wanted.line).values_list("id", flat=True))
        rows = rows.filter(joint__line_id__in=lines)
    return rows


def _written(row: dict[str, Any], wanted: FindingsWanted) -> str:
    if wanted.days:
        return f"{row['since'].isoformat()}.{row['id']}"
    return f"{SEVERITIES.index(row['severity'])}.{row['code']}.{row['id']}.{row['joint_id'].hex}"


def _place(job: Job, wanted: FindingsWanted, written: str) -> Place | None:
    """Read a place back; what can't be read begins at the start."""
    try:
        if wanted.days:
            day, finding = written.split(".")
            place: Place = date.fromisoformat(day), int(finding)
        else:
            weight, code, finding, joint = written.split(".")
            key = Joint.objects.filter(job=job, id=UUID(joint)).values_list("sort_key", flat=True).first()
            if key is None or code not in CODES or not 0 <= int(weight) < len(SEVERITIES):
                return None
            place = finding_key(SEVERITIES[int(weight)], code, key), int(finding)
    except ValueError:
        return None
    return place if 0 <= place[1] < LARGEST_ID else None


def _kinds(keys: Sequence[str]) -> dict[str, str]:
    """The kind of the records that findings speak of; one query."""
    # Never none: a question for nothing is not asked, and the page would cost a query less where no record is named.
    ids = [ANY, *(UUID(key) for key in keys if key)]
    first, *others = (
        model._default_manager.filter(id__in=ids)
        .annotate(of_kind=Value(kind, output_field=CharField()))
        .values_list("id", "of_kind")
        for kind, model in (("fitup", FitUp), ("pass", Pass), ("examination", Examination))
    )
    return {str(key): kind for key, kind in first.union(*others, all=True)}


def _shown(row: dict[str, Any], record_kind: str) -> FindingShown:
    return FindingShown(
        joint_id=row["joint_id"],
        joint=f"{row['joint__sheet__drawing']}/{row['joint__sheet__number']}/{row['joint__number']}",
        line=row["joint__line__number"],
        attempt=row["attempt"],
        code=row["code"],
        severity=row["severity"],
        message=row["message"],
        source=row["source"],
        measured=row["measured"],
        limit=row["limit"],
        unit=row["unit"],
        steps=tuple(row["steps"]),
        tables=tuple((table, key) for table, key in row["tables"]),
        reason=row["override__reason"] or "",
        by=row["override__by"] or "",
        day=row["override__done_on"],
        subject=row["subject"],
        record=row["record"],
        record_kind=record_kind,
        state=row["joint__state"],
        since=row["since"],
        owner=row["owner"],
    )
