"""The lines of a job with the number of their joints."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, QuerySet

from records.models import Job, Joint, Line
from records.paging import Page, cut_by_id

PAGE = 40
KEYS = ("number", "id")


@dataclass(frozen=True, slots=True)
class LineShown:
    """A line and how many joints it has; a line without joints has no papers."""

    id: UUID
    number: str
    service: str
    joints: int


def lines_page(job: Job, *, search: str = "", after: UUID | None = None, before: UUID | None = None) -> Page[LineShown]:
    """Return one page of lines by number; two queries, one more to page from a line."""
    lines = Line.objects.filter(job=job)
    page = cut_by_id(
        lines_wanted(job, search).values_list(*KEYS, "service"), KEYS, lines, after=after, before=before, most=PAGE
    )
    counts = joints_by_line([row[1] for row in page.rows])
    rows = tuple(LineShown(key, number, service, counts.get(key, 0)) for number, key, service in page.rows)
    return Page(rows, *page.ends([one.id for one in rows]))


def lines_wanted(job: Job, search: str) -> QuerySet[Line]:
    """Return the job's lines that match, without order."""
    lines = Line.objects.filter(job=job)
    return lines.filter(number__icontains=search) if search else lines


def joints_by_line(line_ids: Sequence[UUID]) -> dict[UUID, int]:
    """Count the joints of lines; one query."""
    joints = Joint.objects.filter(line_id__in=line_ids).order_by()
    return dict(joints.values_list("line_id").annotate(count=Count("id")))
