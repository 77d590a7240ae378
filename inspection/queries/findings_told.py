"""The open findings of a job as data, stored or judged anew on another day."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import date
from uuid import UUID

from django.db.models import Q, QuerySet

from records.facts import Library, in_batches
from records.lot_refresh import lots_said
from records.models import Finding, Job, Joint
from records.refresh import judge_joints, stood_on


@dataclass(frozen=True, slots=True)
class Told:
    """One open finding; the fields are those of the interface, in its order."""

    code: str
    joint: str
    attempt: str
    record: str
    severity: str
    measured: str
    limit: str
    unit: str
    source: str
    message: str

    def as_dict(self) -> dict[str, str]:
        """Return the finding as plain data."""
        return asdict(self)


FIELDS = tuple(Told.__dataclass_fields__)


def joints_called(job: Job, name: str) -> dict[UUID, str]:
    """Return the joints of a number, or of drawing/sheet/number, each with its full name; one query."""
    drawing_and_sheet, _, number = name.rpartition("/")
    condition = Q(number=number)
    if drawing_and_sheet:
        drawing, _, sheet = drawing_and_sheet.rpartition("/")
        condition &= Q(sheet__drawing=drawing, sheet__number=sheet)
    return _named(Joint.objects.filter(condition, job=job).order_by("sort_key", "id"))


def open_findings(job: Job, *, joints: dict[UUID, str] | None = None, as_of: date | None = None) -> Iterator[Told]:
    """Yield the open findings joint by joint, in the order of drawings; memory is flat.

    joints  only these, as `joints_called` returns them; None is every joint of the job
    as_of   judge what was recorded up to this day, by the dates of the records, instead of giving what is stored; the
            plan and the people are those of now; a correction counts from its own day on, what is withdrawn never
            did, and nothing is written
    Queries are constant for each 2,000 joints.
    """
    library = Library(job, until=as_of or date.max)
    people = library.people() if as_of else None
    of_lots = _of_lots(job, library) if as_of and library.lot_rules else {}
    wanted = list(joints or ()) if joints is not None else _all(job)
    for batch in in_batches(wanted):
        names = _named(Joint.objects.filter(id__in=batch).order_by("sort_key", "id"))
        if as_of is None:
            rows = list(Finding.objects.filter(joint_id__in=batch, override__isnull=True).order_by("id"))
        else:
            judged = judge_joints(job, batch, library=library, people=people)
            found = [row for one in judged for row in (*one.findings, *of_lots.get(one.joint_id, ()))]
            rows = [row for row in found if row.override_id is None]
        place = {joint_id: order for order, joint_id in enumerate(names)}
        for row in sorted(rows, key=lambda one: place[one.joint_id]):
            yield _told(row, names[row.joint_id])


def _of_lots(job: Job, library: Library) -> dict[UUID, list[Finding]]:
    """What lots said on the day of the library: which welds stood follows from every joint of the job."""
    stood: dict[UUID, tuple[str, str]] = {}
    for batch in in_batches(_all(job)):
        stood |= stood_on(job, batch, library.until)
    return lots_said(job, library, stood)


def _all(job: Job) -> list[UUID]:
    return list(Joint.objects.filter(job=job).order_by("sort_key", "id").values_list("id", flat=True))


def _named(joints: QuerySet[Joint]) -> dict[UUID, str]:
    rows = joints.values_list("id", "sheet__drawing", "sheet__number", "number")
    return {key: f"{drawing}/{sheet}/{number}" for key, drawing, sheet, number in rows}


def _told(row: Finding, joint: str) -> Told:
    return Told(
        code=row.code,
        joint=joint,
        attempt=row.attempt,
        record=row.record,
        severity=row.severity,
        measured=row.measured,
        limit=row.limit,
        unit=row.unit,
        source=row.source,
        message=row.message,
    )
