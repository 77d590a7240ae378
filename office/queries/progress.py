"""How far a job has come: by week against its plan, by welder, and line by line."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from uuid import UUID

from joints.queries.tally import Tally, tally, tally_by_line
from office.queries.progress_weeks import Weeks, weeks_of
from office.queries.progress_welders import WelderProgress, welders_of
from records.models import Job, Joint, Line
from records.paging import cut_by_id
from rules.nps import inches_shown
from rules.planned import planned_share

PAGE = 40
KEYS = ("number", "id")


@dataclass(frozen=True, slots=True)
class LineProgress:
    """One line, how far its joints have come, when it was to be welded, and how it stands against that today."""

    id: UUID
    number: str
    service: str
    tally: Tally
    planned: str
    standing: str

    @property
    def welded_inches(self) -> str:
        """The diameter-inches welded, as they are read."""
        return inches_shown(self.tally.welded_inches)


@dataclass(frozen=True, slots=True)
class Progress:
    """The job's total and one page of its lines."""

    total: Tally
    lines: tuple[LineProgress, ...]
    previous: UUID | None
    next: UUID | None
    weeks: Weeks
    welders: list[WelderProgress]


def line_words(
    start: date | None, finish: date | None, tally: Tally, today: date, *, iso: bool = False
) -> tuple[str, str]:
    """Say when a line was to be welded, and how it stands against its even plan on a day.

    iso   its days as papers write them, 2026-08-10, instead of as pages do
    """
    first, last = start or finish, finish or start
    if first is None or last is None:
        return "", "not planned by day"
    days = [one.isoformat() if iso else _day(one) for one in dict.fromkeys((first, last))]
    planned = " to ".join(days)
    rest = tally.whole - tally.welded_inches
    if not rest:
        return planned, "welded" if tally.joints else "no joints"
    behind = tally.whole * planned_share(first, last, today) - tally.welded_inches
    if max(first, last) < today:
        return planned, f"late: {inches_shown(rest)} dia-in still to weld"
    if min(first, last) > today and not tally.welded_inches:
        return planned, "not begun, as planned"
    shown = inches_shown(Fraction(round(abs(behind) * 4), 4))
    return planned, f"{shown} dia-in {'behind' if behind > 0 else 'ahead'}"


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def progress(job: Job, *, after: UUID | None = None, before: UUID | None = None) -> Progress:
    """Return how far the job and PAGE of its lines have come; seven queries, one more to page from a line."""
    weeks = weeks_of(job)
    lines = Line.objects.filter(job=job)
    page = cut_by_id(
        lines.values_list(*KEYS, "service", "planned_start", "planned_finish"),
        KEYS,
        lines,
        after=after,
        before=before,
        most=PAGE,
    )
    tallies = tally_by_line(row[1] for row in page.rows)
    rows = tuple(
        LineProgress(key, number, service, tallies[key], *line_words(start, finish, tallies[key], weeks.today))
        for number, key, service, start, finish in page.rows
    )
    return Progress(
        total=tally(Joint.objects.filter(job=job)),
        lines=rows,
        previous=rows[0].id if rows and page.has_previous else None,
        next=rows[-1].id if rows and page.has_next else None,
        weeks=weeks,
        welders=welders_of(job),
    )
