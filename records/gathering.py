"""Gather what many actions of one transaction leave to do, so that it is done once, at the end."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.db.models import Model

from records.held import HeldJoints
from records.kept import Kept
from records.models import JournalHead


@dataclass(slots=True)
class Gathered:
    """Joints, pieces and spools to derive again, and what the journal will say, in order.

    touched       ask, once everything is locked, which further joints are to be derived
    welders       whose days of welding change, or who are judged by them
    changes_plan  whether rows of the plan change by which others are judged
    opens_job     whether the job itself is made in the batch: nobody else has anything on it yet
    judges        whether the joints are derived at the end
    lasts         whether anything of it stays; of what is taken back, the journal says nothing
    forms         what the journal will say at the end
    entries       how many entries it said already
    head          the journal's head, where the job is made in the batch; it is stored at the end
    roles         which somebody was found to hold on a job
    own           keys that were found to be of rows of the job, by model
    kept          the facts as they were written, where the job is made in the batch
    held          its joints, which are written when they are judged
    """

    joint_ids: dict[UUID, None] = field(default_factory=dict)
    piece_ids: dict[UUID, None] = field(default_factory=dict)
    spool_ids: dict[UUID, None] = field(default_factory=dict)
    touched: list[Callable[[], Iterable[UUID]]] = field(default_factory=list)
    welders: set[UUID] = field(default_factory=set)
    changes_plan: bool = False
    opens_job: bool = False
    judges: bool = True
    lasts: bool = True
    forms: list[Any] = field(default_factory=list)
    entries: int = 0
    head: JournalHead | None = None
    roles: dict[tuple[int, UUID], frozenset[str]] = field(default_factory=dict)
    own: dict[type[Model], set[UUID]] = field(default_factory=lambda: defaultdict(set))
    kept: Kept | None = None
    held: HeldJoints = field(default_factory=HeldJoints)


_current: ContextVar[Gathered | None] = ContextVar("gathered", default=None)


def gathered() -> Gathered | None:
    """Return what the batch under way has gathered so far, or None outside a batch."""
    return _current.get()


@contextmanager
def gathering(*, judges: bool = True, lasts: bool = True) -> Iterator[Gathered]:
    """Inside, `refresh` and the journal only note what they would do."""
    found = Gathered(judges=judges, lasts=lasts)
    token = _current.set(found)
    try:
        yield found
    finally:
        _current.reset(token)
