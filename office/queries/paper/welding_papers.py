"""The papers of welding that a scope needs: WPS and PQR of its procedures, the records of those who welded in it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count, QuerySet

from office.queries.scope import Scope
from records.models import Attachment, FitUp, Pass, Procedure, Qualification
from reports.data import MissingItem

PROCEDURES, QUALIFICATIONS = "Welding procedures", "Welder qualification records"
WITHOUT_WPS, WITHOUT_WPQ = "Procedures without their WPS", "Qualifications without their record"
NAMED = 12  # of those that are missing; the rest is counted


@dataclass(frozen=True, slots=True)
class Attached:
    """One paper that is on file: what it is of, and the joints that it speaks for."""

    row: Attachment
    label: str
    used_by: str


def attached_papers(scope: Scope) -> tuple[tuple[str, Sequence[Attached]], ...]:
    """Return the papers on file under their titles; four queries."""
    rows = Attachment.objects.filter(job=scope.job)
    procedures = rows.filter(procedure__in=procedures_of(scope)).select_related("procedure")
    joints = scope.joints().exclude(state="withdrawn").exclude(procedure=None).order_by()
    counts = dict(joints.values_list("procedure").annotate(count=Count("id")))
    of_procedures = [
        Attached(one, f"{one.kind} {one.procedure.number}", _joints(counts.get(one.procedure_id, 0)))  # type: ignore[union-attr]
        for one in procedures.order_by("procedure__number", "-kind")
    ]
    records = rows.filter(qualification__in=qualifications_of(scope)).select_related("qualification__stamp__welder")
    of_welders = [
        Attached(one, f"WPQ {one.qualification.wpq}", str(one.qualification.stamp.welder.name))  # type: ignore[union-attr]
        for one in records.order_by("qualification__stamp__code", "qualification__wpq")
    ]
    return (PROCEDURES, of_procedures), (QUALIFICATIONS, of_welders)


def missing_papers(scope: Scope) -> Iterator[MissingItem]:
    """Yield a line for each kind of paper that some lack; two queries."""
    lacking = procedures_of(scope).exclude(attachments__kind="WPS").order_by("number")
    yield from _told(WITHOUT_WPS, "procedure,procedures", list(lacking.values_list("number", flat=True)))
    unproven = qualifications_of(scope).filter(attachments=None).order_by("stamp__code", "wpq")
    told = [f"{stamp}: {wpq}" for stamp, wpq in unproven.values_list("stamp__code", "wpq")]
    yield from _told(WITHOUT_WPQ, "qualification,qualifications", list(dict.fromkeys(told)))


def procedures_of(scope: Scope) -> QuerySet[Procedure]:
    """The procedures that joints of a scope are planned with, and those that passes name."""
    joints = scope.joints().exclude(state="withdrawn").order_by()
    planned = joints.exclude(procedure=None).values("procedure")
    welded = Pass.objects.filter(joint__in=joints, replaced_by=None).exclude(procedure=None).values("procedure")
    procedures = Procedure.objects.filter(job=scope.job)
    return procedures.filter(id__in=planned) | procedures.filter(id__in=welded)


def qualifications_of(scope: Scope) -> QuerySet[Qualification]:
    """The qualifications of whoever welded or tacked in a scope."""
    joints = scope.joints().exclude(state="withdrawn").order_by()
    welded = Pass.objects.filter(joint__in=joints, replaced_by=None).exclude(stamp=None).values("stamp")
    tacked = FitUp.objects.filter(joint__in=joints, replaced_by=None).exclude(tack_stamp=None).values("tack_stamp")
    of = Qualification.objects.filter(job=scope.job)
    return of.filter(stamp__in=welded) | of.filter(stamp__in=tacked)


def _told(group: str, words: str, names: Sequence[str]) -> Iterator[MissingItem]:
    if names:
        one, many = words.split(",")
        rest = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        yield MissingItem(group, f"{len(names)} {one if len(names) == 1 else many}", ", ".join(names[:NAMED]) + rest)


def _joints(count: int) -> str:
    return f"{count:,} {'joint' if count == 1 else 'joints'}"
