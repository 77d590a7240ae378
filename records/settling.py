"""Values as their columns keep them, so that the journal says what the database gives back."""

from collections.abc import Sequence
from decimal import Decimal
from functools import cache
from typing import Any

from django.db import models

from records.texts import values


def settle(rows: Sequence[models.Model]) -> None:
    """Round the numbers of rows of one model to the places of their columns, half to even, in place.

    A database rounds what it is given and says nothing; the entry of the journal would then name another number than
    the row holds, and the proof of the journal would call an honest record a changed one.
    """
    for field in _numbers(type(rows[0])) if rows else ():
        name, places = field.attname, field.decimal_places
        given = values(rows, name)
        # Rows of a batch share most of their values: each is looked at once, by its identity.
        distinct = dict(zip(map(id, given), given, strict=True)).values()
        if all(value is None or _fits(value, places) for value in distinct):
            continue
        for row, value in zip(rows, given, strict=True):
            if value is not None and not _fits(value, places):
                setattr(row, name, round(field.to_python(value), places))


@cache
def _numbers(model: type[models.Model]) -> "tuple[models.DecimalField[Any, Any], ...]":
    return tuple(field for field in model._meta.concrete_fields if isinstance(field, models.DecimalField))


def _fits(value: Any, places: int) -> bool:
    return isinstance(value, Decimal) and value.as_tuple().exponent >= -places  # type: ignore[operator]
