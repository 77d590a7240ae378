"""In which turn each record is to be written, so that an import keeps the order that counts."""

from collections import Counter
from collections.abc import Iterable
from operator import attrgetter
from typing import Any
from uuid import UUID

from records.models import Override

_Sheet = tuple[UUID, type[Any]]


def turns(records: Iterable[Any]) -> dict[UUID, int]:
    """Return the turn of every record that is not of the first one, by its id.

    An import writes turn after turn, and in each the records, then their corrections, then the overrides. Two things
    hang on that order: an override covers what was recorded before it, and of two records of one kind at the same
    instant the one that was recorded later counts. So whatever was recorded after an override, or after a correction
    of its own kind, is of a later turn.
    """
    found: dict[UUID, int] = {}
    # By joint: the latest turn of anything, and that before which an override stands.
    latest: Counter[UUID] = Counter()
    after_override: Counter[UUID] = Counter()
    overriding: dict[UUID, tuple[Any, int]] = {}
    # By joint and kind: the latest turn of a record, and the first that no correction has yet.
    of_kind: Counter[_Sheet] = Counter()
    after_correction: Counter[_Sheet] = Counter()
    for record in sorted(records, key=attrgetter("recorded_at", "id")):
        joint, kind = record.joint_id, (record.joint_id, type(record))
        if (last := overriding.get(joint)) and last[0] < record.recorded_at:
            after_override[joint] = last[1] + 1
        turn = max(after_override[joint], of_kind[kind], after_correction[kind])
        if isinstance(record, Override):
            turn = max(turn, latest[joint])
            overriding[joint] = record.recorded_at, turn
        if record.replaces_id:
            after_correction[kind] = turn + 1
        of_kind[kind], latest[joint] = turn, max(turn, latest[joint])
        if turn:
            found[record.pk] = turn
    return found
