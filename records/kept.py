"""Facts of a job that is made in one batch, kept as its database holds them, so that none is read back to be judged."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache
from typing import Any
from uuid import UUID

from django.db import models

from records.models.base import JointRecord
from records.texts import reader

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
        fields, count, places = _read_of(model, tuple(self._columns[model]))
        columns = [
            as_stored(field, column)
            for field, column in zip(fields, zip(*map(reader(fields), records), strict=True), strict=True)
        ]
        rows = zip(*columns[:count], strict=True)
        orders = zip(*(columns[place] for place in places), strict=True)
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


@cache
def _read_of(model: type[JointRecord], columns: tuple[str, ...]) -> tuple[list[Any], int, list[int]]:
    """The fields to read, how many of them are the columns asked for, and where those of the order stand."""
    names = [*columns, *(name for name in order_of(model) if name not in columns)]
    by_name = {field.attname: field for field in model._meta.concrete_fields}
    return [by_name[name] for name in names], len(columns), [names.index(name) for name in order_of(model)]


def as_stored(field: Any, given: Sequence[Any]) -> Sequence[Any]:
    """A column's values as the database gives them back: a number with all the places of its column."""
    if not isinstance(field, models.DecimalField):
        return given
    unit = Decimal(1).scaleb(-field.decimal_places)
    stored = {id(value): None if value is None else value.quantize(unit) for value in given}
    return [stored[id(value)] for value in given]
