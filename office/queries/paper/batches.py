"""The joints of a scope in batches: a paper of half a million joints needs no more memory than one of a hundred."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

from django.db.models import Q, QuerySet

from office.queries.scope import Scope
from records.models import Joint

T = TypeVar("T")
BATCH = 2000


def joint_batches(scope: Scope, *related: str) -> Iterator[list[Joint]]:
    """Yield the joints of a scope in order, at most BATCH at a time; one query a batch.

    related   what to load along with the sheet
    """
    joints = scope.joints().select_related("sheet", *related)
    last: Joint | None = None
    while batch := list(_after(joints, last)[:BATCH]):
        yield batch
        last = batch[-1]


def _after(joints: QuerySet[Joint], last: Joint | None) -> QuerySet[Joint]:
    if last is None:
        return joints
    beyond = Q(sort_key__gt=last.sort_key) | Q(id__gt=last.id)
    return joints.filter(sort_key__gte=last.sort_key).filter(beyond)


def in_chunks(rows: Iterable[T], most: int = BATCH) -> Iterator[list[T]]:
    """Cut a stream of rows into lists of at most `most`."""
    stream = iter(rows)
    while chunk := list(islice(stream, most)):
        yield chunk
