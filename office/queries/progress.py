"""How far a job has come, line by line."""

from dataclasses import dataclass
from uuid import UUID

from joints.queries.tally import Tally, tally, tally_by_line
from records.models import Job, Joint, Line
from records.paging import cut, place_of

PAGE = 40
KEYS = ("number", "id")


@dataclass(frozen=True, slots=True)
class LineProgress:
    """One line and how far its joints have come."""

    id: UUID
    number: str
    service: str
    tally: Tally


@dataclass(frozen=True, slots=True)
class Progress:
    """The job's total and one page of its lines."""

    total: Tally
    lines: tuple[LineProgress, ...]
    previous: UUID | None
    next: UUID | None


def progress(job: Job, *, after: UUID | None = None, before: UUID | None = None) -> Progress:
    """Return how far the job and PAGE of its lines have come; three queries, one more to page from a line."""
    lines = Line.objects.filter(job=job)
    page = cut(
        lines.values_list(*KEYS, "service"),
        KEYS,
        after=place_of(lines, KEYS, after),
        before=place_of(lines, KEYS, before),
        most=PAGE,
    )
    tallies = tally_by_line(row[1] for row in page.rows)
    rows = tuple(LineProgress(key, number, service, tallies[key]) for number, key, service in page.rows)
    return Progress(
        total=tally(Joint.objects.filter(job=job)),
        lines=rows,
        previous=rows[0].id if rows and page.has_previous else None,
        next=rows[-1].id if rows and page.has_next else None,
    )
