"""Derive pieces and spools again from their records; nothing else writes their derived columns."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import attrgetter
from typing import Any
from uuid import UUID

from records import bulk
from records.gathering import gathered
from records.locking import lock_rows
from records.lookups import Keys
from records.models import Job, Piece, Spool
from records.shop_facts import events_of, steps_of
from rules import pieces, spools

COLUMNS = ("state", "place", "last_on")
BATCH = 2000
Row = tuple[Any, ...]


def refresh_pieces(job: Job, piece_ids: Iterable[UUID]) -> None:
    """Derive pieces again and store what follows, in the caller's transaction; three queries per 2,000."""
    batch = gathered()
    if batch is not None:
        batch.piece_ids.update(dict.fromkeys(piece_ids))
        return
    _refresh(Piece, job, piece_ids, derived_pieces)


def refresh_spools(job: Job, spool_ids: Iterable[UUID]) -> None:
    """Derive spools again and store what follows, in the caller's transaction; three queries per 2,000."""
    batch = gathered()
    if batch is not None:
        batch.spool_ids.update(dict.fromkeys(spool_ids))
        return
    _refresh(Spool, job, spool_ids, derived_spools)


def _refresh(
    model: type[Piece] | type[Spool],
    job: Job,
    ids: Iterable[UUID],
    derive: Callable[[Job, Sequence[UUID]], list[Row]],
) -> None:
    for batch in _in_batches(sorted(set(ids), key=attrgetter("int"))):
        lock_rows(model, batch)
        bulk.update(model, COLUMNS, derive(job, batch))


def derived_pieces(job: Job, piece_ids: Sequence[UUID]) -> list[Row]:
    """Return (id, state, place, last day) of pieces as it follows from their records; one query."""
    events = events_of(job, piece_ids)
    found = ((key, pieces.standing("", events.get(key, ()))) for key in piece_ids)
    return [(key, one.state, one.place, one.last_on) for key, one in found]


def derived_spools(job: Job, spool_ids: Sequence[UUID]) -> list[Row]:
    """Return (id, state, place, last day) of spools as it follows from their steps; one query."""
    steps = steps_of(job, spool_ids)
    found = ((key, spools.standing(steps.get(key, ()))) for key in spool_ids)
    return [(key, one.state, one.place, one.last_on) for key, one in found]


def shop_differences(job: Job) -> Iterator[str]:
    """Yield one sentence for each piece or spool whose stored state differs from the derived; memory is flat."""
    pieces_stored = Piece.objects.filter(job=job).order_by("id")
    spools_stored = Spool.objects.filter(job=job).order_by("id")
    yield from _differences(job, "Piece", pieces_stored.values_list("id", "mark", *COLUMNS), derived_pieces)
    yield from _differences(job, "Spool", spools_stored.values_list("id", "mark", *COLUMNS), derived_spools)


def rebuild_shop(job: Job) -> None:
    """Derive every piece and spool of a job again and store it."""
    refresh_pieces(job, Piece.objects.filter(job=job).values_list("id", flat=True))
    refresh_spools(job, Spool.objects.filter(job=job).values_list("id", flat=True))


def _differences(job: Job, kind: str, rows: Any, derive: Callable[[Job, Sequence[UUID]], list[Row]]) -> Iterator[str]:
    ids = list(rows.values_list("id", flat=True))
    for batch in _in_batches(ids):
        derived = {key: values for key, *values in derive(job, batch)}
        for key, mark, *stored in rows.filter(id__among=Keys(batch)):
            for column, kept, follows in zip(COLUMNS, stored, derived[key], strict=True):
                if kept != follows:
                    yield f"{kind} {mark}: {column} is stored as {kept}, but follows as {follows}."


def _in_batches(ids: list[UUID]) -> Iterator[list[UUID]]:
    return (ids[start : start + BATCH] for start in range(0, len(ids), BATCH))
