"""The open findings of a job as data, stored or judged anew on another day."""

import pickle
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import date
from tempfile import TemporaryFile
from uuid import UUID

from django.db.models import Q, QuerySet

from records.facts import Library, in_batches
from records.lot_refresh import lots_said
from records.models import Finding, Job, Joint
from records.refresh import judge_joints


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
    wanted = list(joints or ()) if joints is not None else _all(job)
    if as_of is not None:
        yield from _on_a_day(Library(job, until=as_of), wanted)
        return
    for batch in in_batches(wanted):
        names = _named(Joint.objects.filter(id__in=batch).order_by("sort_key", "id"))
        rows = list(Finding.objects.filter(joint_id__in=batch, override__isnull=True).order_by("id"))
        place = {joint_id: order for order, joint_id in enumerate(names)}
        for row in sorted(rows, key=lambda one: place[one.joint_id]):
            yield _told(row, names[row.joint_id])


def _on_a_day(library: Library, wanted: Sequence[UUID]) -> Iterator[Told]:
    """The open findings of joints on the day of a library; each joint is judged once.

    What lots say comes last: which of their welds stood follows from every joint of the job. Until then the findings
    lie in a file.
    """
    job, people = library.job, library.people()
    stood: dict[UUID, tuple[str, str]] = {}
    chosen, batches = set(wanted), 0
    with TemporaryFile() as kept:
        for batch in in_batches(_all(job) if library.lot_rules else wanted):
            judged = {one.joint_id: one for one in judge_joints(job, batch, library=library, people=people)}
            if library.lot_rules:
                stood |= {key: one.stood for key, one in judged.items()}
            names = _named(Joint.objects.filter(id__in=chosen.intersection(batch)).order_by("sort_key", "id"))
            pickle.dump([(key, name, _open(judged[key].findings, name)) for key, name in names.items()], kept)
            batches += 1
        of_lots = lots_said(job, library, stood) if library.lot_rules else {}
        kept.seek(0)
        for _ in range(batches):
            for key, name, told in pickle.load(kept):
                yield from told
                yield from _open(of_lots.get(key, ()), name)


def _open(rows: Iterable[Finding], joint: str) -> list[Told]:
    return [_told(row, joint) for row in rows if row.override_id is None]


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
