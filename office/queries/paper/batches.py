"""The joints of a scope in batches: a paper of half a million joints needs no more memory than one of a hundred."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

from django.db.models import Q, QuerySet
from django.db.models.expressions import Combinable

from office.queries.scope import Scope
from records.models import Joint

T = TypeVar("T")
BATCH = 2000
# What papers say of a joint; the rest of its row, and of the rows it hangs on, would only cost time.
OF_JOINT = (
    "number", "sort_key", "kind", "nps", "schedule", "location", "state", "attempt", "attempts", "progress",
    "next_step", "due", "stamps", "sheet__drawing", "sheet__number",
)  # fmt: skip


def joint_batches(scope: Scope, *also: str, which: Combinable | Q | None = None) -> Iterator[list[Joint]]:
    """Yield the joints of a scope in order, at most BATCH at a time; one query a batch.

    also   further columns than OF_JOINT, for example "spool__mark"
    which  what they have in common; all of the scope where left out
    """
    joints = narrow(scope.joints() if which is None else scope.joints().filter(which), *also)
    last: Joint | None = None
    while batch := list(_after(joints, last)[:BATCH]):
        yield batch
        last = batch[-1]


def narrow(joints: QuerySet[Joint], *also: str) -> QuerySet[Joint]:
    """Load of joints, in the same query, only what papers say of them and the columns that are named."""
    related = {name.rpartition("__")[0] for name in also if "__" in name}
    return joints.select_related("sheet", *related).only(*OF_JOINT, *also)


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
