"""Write columns of values as text, each value once: rows of one batch share most of theirs."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import repeat
from operator import attrgetter, is_, itemgetter
from typing import Any

from django.db import models

Write = Callable[[Any], str]


def texts(values: Sequence[Any], writers: Mapping[type, Write], other: Write) -> Iterable[str]:
    """The text of each value of a column.

    values   at least one
    writers  how to write a value of each type; `other` writes the rest
    """
    first = values[0]
    if all(map(is_, values, repeat(first))):
        return repeat(writers.get(type(first), other)(first), len(values))
    # By identity: it costs least, and cells that say the same are one value in an import. The values outlive the keys.
    keys = list(map(id, values))
    known = {key: writers.get(type(value), other)(value) for key, value in dict(zip(keys, values, strict=True)).items()}
    return map(known.__getitem__, keys)


def values(rows: Iterable[models.Model], column: str) -> list[Any]:
    """The values of one column of many rows, by attribute name; past the descriptors, where nothing is deferred."""
    rows = list(rows)
    try:
        return [row.__dict__[column] for row in rows]
    except KeyError:
        return [getattr(row, column) for row in rows]


def distinct(rows: Iterable[models.Model], column: str) -> set[Any]:
    """The different values of a column that say something; hashed once for each object, since keys hash slowly."""
    given = values(rows, column)
    return set(filter(None, dict(zip(map(id, given), given, strict=True)).values()))


def reader(fields: Sequence[Any]) -> Callable[[models.Model], tuple[Any, ...]]:
    """How to read several fields of a row at once: past the descriptors, where nothing is deferred and no file is."""
    names = [field.attname for field in fields]
    slowly = attrgetter(*names)
    if any(isinstance(field, models.FileField) for field in fields):
        return slowly
    quickly = itemgetter(*names)

    def read(row: models.Model) -> tuple[Any, ...]:
        try:
            return quickly(row.__dict__)
        except KeyError:
            return slowly(row)

    return read
