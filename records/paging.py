"""Page through long lists by key, never by offset: the thousandth page costs as much as the first."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.db.models import Q, QuerySet

R = TypeVar("R")
Place = tuple[Any, ...]
# Rows that are read together where a list is read whole.
BATCH = 2000


@dataclass(frozen=True, slots=True)
class Cut:
    """One page of rows, and whether there are more before and after it."""

    rows: list[tuple[Any, ...]]
    has_previous: bool
    has_next: bool

    def ends(self, ids: Sequence[UUID]) -> tuple[UUID | None, UUID | None]:
        """The ids of its rows to page before and after; None at the first and the last page."""
        return ids[0] if ids and self.has_previous else None, ids[-1] if ids and self.has_next else None


@dataclass(frozen=True, slots=True)
class Page(Generic[R]):
    """One page of a list as it is shown, with the ids to page from."""

    rows: tuple[R, ...]
    previous: UUID | None
    next: UUID | None


def cut(rows: QuerySet[Any, Any], keys: Sequence[str], *, after: Place | None, before: Place | None, most: int) -> Cut:
    """Return at most `most` rows that come after (or before) a place, in the order of the keys; one query.

    rows   a queryset of tuples, without order
    keys   names of the columns that order it, the last of them unique
    after  the values of the keys of the row to go on from; None begins at the start
    """
    if before:
        found = list(_beyond(rows, keys, before, "lt").order_by(*(f"-{key}" for key in keys))[: most + 1])
        return Cut(found[:most][::-1], len(found) > most, True)
    if after:
        rows = _beyond(rows, keys, after, "gt")
    found = list(rows.order_by(*keys)[: most + 1])
    return Cut(found[:most], bool(after), len(found) > most)


def in_batches(
    rows: QuerySet[Any, Any], keys: Sequence[str], columns: Sequence[str], *, most: int = BATCH
) -> Iterator[list[tuple[Any, ...]]]:
    """Yield the columns of all rows in the order of the keys, at most so many at a time; one query a batch.

    rows  a queryset without order; while it is read others may write, and no row that stays is met twice
    """
    named, last = rows.values_list(*keys, *columns), None
    while found := cut(named, keys, after=last, before=None, most=most):
        yield [row[len(keys) :] for row in found.rows]
        if not found.has_next:
            return
        last = found.rows[-1][: len(keys)]


def cut_by_id(
    rows: QuerySet[Any, Any],
    keys: Sequence[str],
    among: QuerySet[Any],
    *,
    after: UUID | None,
    before: UUID | None,
    most: int,
) -> Cut:
    """Return the page after (or before) one of `among` by its id; one query, one more where an id is given."""
    return cut(rows, keys, after=place_of(among, keys, after), before=place_of(among, keys, before), most=most)


def place_of(rows: QuerySet[Any], keys: Sequence[str], row: UUID | None) -> Place | None:
    """Return the place of a row by its id, None where there is no such row; one query where an id is given."""
    return rows.filter(pk=row).values_list(*keys).first() if row else None


def keys_asked(query: Mapping[str, str]) -> tuple[UUID | None, UUID | None]:
    """Read the ids to page after and before from an address; what is no id begins at the start."""
    after, before = (_id(query.get(name, "")) for name in ("after", "before"))
    return after, None if after else before


def clean(text: str | None, most: int = 120) -> str:
    """A word from an address as a database can look for it: trimmed, of a bearable length, without the zero sign."""
    return (text or "").replace("\x00", "").strip()[:most]


def _id(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _beyond(rows: QuerySet[Any, Any], keys: Sequence[str], place: Place, side: str) -> QuerySet[Any, Any]:
    """Narrow to rows beyond a place. The bound on the first key alone is what an index can use."""
    beyond = Q()
    for depth, key in enumerate(keys):
        same = Q(**dict(zip(keys[:depth], place[:depth], strict=True)))
        beyond |= same & Q(**{f"{key}__{side}": place[depth]})
    return rows.filter(**{f"{keys[0]}__{side}e": place[0]}).filter(beyond)
