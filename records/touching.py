"""Which joints a changed row can touch."""

from collections.abc import Callable, Sequence
from typing import Any
from uuid import UUID

from django.db.models import Q, QuerySet, Value
from django.db.models.functions import Lower, Replace

from records.models import (
    ContinuityEntry,
    Examiner,
    ExamPlan,
    ExamRule,
    FillerLot,
    FitUp,
    Heat,
    HoldPoint,
    Joint,
    Line,
    Material,
    OwnerLimit,
    Piece,
    Procedure,
    ProcedurePass,
    Qualification,
    Sheet,
    Spool,
    Stamp,
)
from records.models.base import Master

Rows = Sequence[Any]


def _by(*paths: str, of: str = "pk") -> Callable[[Rows], Q]:
    """Joints that reach one of the rows' `of` by one of the paths."""

    def condition(rows: Rows) -> Q:
        values = {getattr(row, of) for row in rows}
        found = Q()
        for path in paths:
            found |= Q(**{f"{path}__in": values})
        return found

    return condition


def _named(rows: Rows) -> Q:
    """Joints planned in one of the materials; names are found whatever their case."""
    found = Q()
    for row in rows:
        found |= Q(material_a__iexact=row.name) | Q(material_b__iexact=row.name)
    return found


def _heats(rows: Rows) -> Q:
    """Joints planned with one of the heats, and those at whose fit-up one was read that the plan does not name."""
    numbers = {row.number.replace(" ", "").lower() for row in rows}
    a_read, b_read = (Lower(Replace(f"heat_{side}_read", Value(" "))) for side in "ab")
    read = FitUp.objects.filter(job_id=rows[0].job_id).alias(a_read=a_read, b_read=b_read)
    again = Q(joint__attempts__gt=1)
    of_a = Q(a_read__in=numbers) & (again | Q(joint__heat_a=None))
    of_b = Q(b_read__in=numbers) & (again | Q(joint__heat_b=None))
    return _by("heat_a", "heat_b")(rows) | Q(pk__in=read.filter(of_a | of_b).values("joint"))


def _all(rows: Rows) -> Q:
    """Every joint of the job: what a row narrowed to before is not known any more."""
    return Q()


_WELDED_BY = ("passs__stamp", "fitups__tack_stamp")
TOUCHES: dict[type[Master], Callable[[Rows], Q]] = {
    Joint: _by("pk"),
    Line: _by("line"),
    Sheet: _by("sheet"),
    Spool: _by("spool"),
    Heat: _heats,
    Piece: _by("piece_a", "piece_b"),
    FillerLot: _by("passs__filler_lot"),
    Material: _named,
    Procedure: _by("procedure", "passs__procedure"),
    ProcedurePass: _by("procedure", "passs__procedure", of="procedure_id"),
    Stamp: _by(*_WELDED_BY),
    Qualification: _by(*_WELDED_BY, of="stamp_id"),
    ContinuityEntry: _by(*_WELDED_BY, of="stamp_id"),
    ExamPlan: _by("line__exam_plan"),
    ExamRule: _by("line__exam_plan", of="plan_id"),
    Examiner: _by("examinations__by", of="name"),
    OwnerLimit: _all,
    HoldPoint: _all,
}

# A new row of these speaks of rows that stand already; on other new rows nothing can hang yet.
SPEAK_OF_OTHERS = (
    Heat,
    ProcedurePass,
    Qualification,
    ContinuityEntry,
    Material,
    ExamRule,
    Examiner,
    OwnerLimit,
    HoldPoint,
)


def judges_others(model: type[Master]) -> bool:
    """Say whether records on joints are judged by rows of this model; a joint's own row is locked with the joint."""
    return model in TOUCHES and model is not Joint


def touched_joints(rows: Rows) -> QuerySet[Joint, UUID]:
    """Return the ids of the joints whose findings can change with these rows, all of one model; one query."""
    condition = TOUCHES.get(type(rows[0])) if rows else None
    if condition is None:
        return Joint.objects.none().values_list("id", flat=True)
    joints = Joint.objects.filter(condition(rows), job_id=rows[0].job_id)
    return joints.values_list("id", flat=True).distinct()
