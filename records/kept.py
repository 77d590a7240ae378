"""Facts of a job that is made in one batch, kept as its database holds them, so that none is read back to be judged."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import models

from records.models.base import JointRecord
from records.texts import values

Row = tuple[Any, ...]
_NO_TIME = datetime.min.replace(tzinfo=UTC)


class Kept:
    """The columns that judging reads of records just written, by model and joint.

    columns  by model, what is read of it: id, joint_id and replaces_id first
    """

    def __init__(self, columns: dict[type[JointRecord], Sequence[str]]) -> None:
        self._columns = columns
        self._rows: dict[type[JointRecord], dict[UUID, list[tuple[Row, Row]]]] = defaultdict(lambda: defaultdict(list))

    def keep(self, records: Sequence[JointRecord]) -> None:
        """Remember records that were just inserted; those of other models are left aside."""
        model = type(records[0]) if records else None
        if model is None or model not in self._columns:
            return
        of_joint = self._rows[model]
        rows = zip(*(_as_stored(model, name, records) for name in self._columns[model]), strict=True)
        orders = zip(*(_as_stored(model, name, records) for name in order_of(model)), strict=True)
        for row, order in zip(rows, orders, strict=True):
            of_joint[row[1]].append((row, order))

    def rows(self, model: type[JointRecord], joint_ids: Iterable[UUID]) -> list[Row]:
        """The rows of these joints; those of one joint stand in the order of `order_of`, no time before any."""
        of_joint = self._rows[model]
        found: list[Row] = []
        for joint in joint_ids:
            some = of_joint.get(joint, ())
            if len(some) > 1:
                some = sorted(some, key=_place)
            found += [row for row, _ in some]
        return found


def order_of(model: type[JointRecord]) -> list[str]:
    """The columns by which records of a joint stand one after the other."""
    return ["done_on", "done_at", *(["order"] if hasattr(model, "order") else ()), "recorded_at", "id"]


def _place(kept: tuple[Row, Row]) -> Row:
    day, time, *rest = kept[1]
    return day, time or _NO_TIME, *rest


def _as_stored(model: type[JointRecord], name: str, records: Sequence[JointRecord]) -> list[Any]:
    """A column's values as the database gives them back: a number with all the places of its column."""
    given = values(records, name)
    field = next(one for one in model._meta.concrete_fields if one.attname == name)
    if not isinstance(field, models.DecimalField):
        return given
    unit = Decimal(1).scaleb(-field.decimal_places)
    stored = {id(value): None if value is None else value.quantize(unit) for value in given}
    return [stored[id(value)] for value in given]
