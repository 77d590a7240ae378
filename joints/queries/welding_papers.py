"""The papers of welding: which procedures and qualifications have their files, and which have not."""

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, Q

from joints.queries.joint_asks import in_order
from joints.queries.procedure_ranges import ProcedureRange, ranges_of
from records.models import Attachment, Job, Procedure, ProcedurePass, Qualification, Stamp
from records.models.attachment import OF_PROCEDURE, OF_QUALIFICATION
from records.paging import Page, cut_by_id

PAGE = 50
KEYS = ("number", "id")
CALLED = {
    "WPS": "welding procedure specification",
    "PQR": "procedure qualification record",
    "WPQ": "record of the qualification test",
}


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper that a procedure or qualification should have; `file` is None while nobody attached it."""

    kind: str
    called: str
    file: Attachment | None


@dataclass(frozen=True, slots=True)
class ProcedureRow:
    """One procedure as the list shows it."""

    procedure: Procedure
    papers: tuple[Paper, ...]
    range: ProcedureRange


@dataclass(frozen=True, slots=True)
class ProcedureShown:
    """A procedure with its passes, its papers, and its range against what the joints planned with it need."""

    procedure: Procedure
    passes: tuple[ProcedurePass, ...]
    papers: tuple[Paper, ...]
    range: ProcedureRange


def procedures_page(
    job: Job, *, search: str = "", after: UUID | None = None, before: UUID | None = None
) -> Page[ProcedureRow]:
    """Return one page of procedures by number; five queries, one more to page from a procedure."""
    procedures = Procedure.objects.filter(job=job)
    wanted = procedures.filter(Q(number__icontains=search) | Q(pqr__icontains=search)) if search else procedures
    page = cut_by_id(wanted.values_list(*KEYS), KEYS, procedures, after=after, before=before, most=PAGE)
    ids = [row[1] for row in page.rows]
    found = list(procedures.filter(id__in=ids).prefetch_related("attachments").order_by(*KEYS))
    ranges = ranges_of(job, found)
    rows = tuple(ProcedureRow(one, papers_of(one), ranges[one.id]) for one in found)
    return Page(rows, *page.ends(ids))


def procedure_shown(job: Job, procedure: Procedure) -> ProcedureShown:
    """Return everything about a procedure; four queries."""
    covers = ranges_of(job, [procedure])[procedure.id]
    return ProcedureShown(procedure, tuple(in_order(procedure.passes.all())), papers_of(procedure), covers)


def papers_of(of: Procedure | Qualification) -> tuple[Paper, ...]:
    """Return each paper that it should have, in order; one query unless they were fetched."""
    rows: Iterable[Attachment] = of.attachments.all()  # type: ignore[union-attr]
    files = {one.kind: one for one in rows}
    kinds = OF_PROCEDURE if isinstance(of, Procedure) else OF_QUALIFICATION
    return tuple(Paper(kind, CALLED[kind], files.get(kind)) for kind in kinds)


def qualifications_of(stamp: Stamp) -> tuple[tuple[Qualification, Paper], ...]:
    """Return a stamp's qualifications with their records, by number; two queries."""
    rows = Qualification.objects.filter(stamp=stamp).order_by("wpq", "process", "id")
    fetched = rows.prefetch_related(Prefetch("attachments", Attachment.objects.order_by("kind")))
    return tuple((one, papers_of(one)[0]) for one in fetched)
