"""The fit-up and pass log: every fit-up and pass of a scope, one after the other, with what was measured."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from joints.queries.joint_history import signed, title_of, values_of
from office.queries.paper.batches import joint_batches
from office.queries.paper.title import About
from office.queries.paper.words import joint_key
from records.clock import local_time
from records.lookups import Keys
from records.models import FitUp, Job, Pass, Withdrawal
from reports.list_paper import ListPaper, Section
from reports.table import Column
from rules.size_words import show_pipe_size

COLUMNS = (
    Column("Joint", 30, "bold"),
    Column("Att.", 8),
    Column("Size", 26),
    Column("Record", 24),
    Column("Date", 34),
    Column("By", 26),
    Column("What was recorded", 120),
)
EMPTY = "No fit-up or pass recorded in this scope."
SIGNED_BY = ("Foreman", "Examiner", "Owner's inspector")
_LONG_AGO = datetime(1900, 1, 1, tzinfo=UTC)


def fit_up_log(about: About, *, signatures: tuple[str, ...] = SIGNED_BY) -> ListPaper:
    """Return the log of the scope; five queries for each 2,000 joints, read as the paper is drawn."""
    title = about.title("Fit-up and pass log", "fit-up and pass log")
    return ListPaper(title, (Section(COLUMNS, _rows(about), EMPTY),), EMPTY, signatures)


def _rows(about: About) -> Iterator[tuple[str, ...]]:
    for batch in joint_batches(about.scope):
        records = _records([joint.id for joint in batch])
        for joint in batch:
            for one in records.get(joint.id, ()):
                yield (
                    joint_key(joint),
                    one.attempt,
                    show_pipe_size(joint.nps, joint.schedule, about.job.units),
                    title_of(one),
                    _when(about.job, one),
                    signed(one),
                    ", ".join(values_of(one, about.job.units, joint.kind)),
                )


def _records(joints: list[UUID]) -> dict[UUID, list[Any]]:
    found: dict[UUID, list[Any]] = defaultdict(list)
    related = {FitUp: ("tack_stamp", "recorded_by"), Pass: ("stamp__welder", "filler_lot", "recorded_by")}
    for model, names in related.items():
        kind = str(model._meta.model_name)
        withdrawn = Withdrawal.objects.filter(kind=kind).values("record")
        manager: Any = model._default_manager
        rows = manager.filter(joint_id__among=Keys(joints), replaced_by__isnull=True)
        for one in rows.exclude(id__in=withdrawn).select_related(*names):
            found[one.joint_id].append(one)
    for several in found.values():
        several.sort(key=_in_turn)
    return found


def _in_turn(one: Any) -> tuple[Any, ...]:
    order = one.order if isinstance(one, Pass) else 0
    return one.done_on, order, one.done_at or _LONG_AGO, one.recorded_at, one.id


def _when(job: Job, one: Any) -> str:
    return f"{local_time(job, one.done_at):%Y-%m-%d %H:%M}" if one.done_at else str(one.done_on)
