"""The canonical form of a row: the text whose hash stands in the journal."""

import json
import uuid
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache, lru_cache
from itertools import groupby
from json.encoder import encode_basestring
from operator import attrgetter
from typing import Any

from django.db import models
from django.db.models.fields.files import FieldFile

from records.texts import Write, reader, texts

# Form 1 named every column, form 2 leaves out those that say nothing; both are read alike.
FORM, FORMS = 2, (1, 2)


def canonical(row: models.Model) -> str:
    """Return a row as canonical JSON: sorted keys, no spaces, decimals without trailing zeros, times in UTC.

    A column that holds nothing, where nothing is its default, is left out: half of a record's columns are so. Derived
    columns are left out too; they follow from the records. People stand as numbers, since a name can be erased on
    request while the record stays.
    """
    return canonicals([row])[0]


def canonicals(rows: Sequence[models.Model]) -> list[str]:
    """Return each row's canonical JSON, written column by column."""
    found: list[str] = []
    for model, some in groupby(rows, type):
        parts, values_of = _parts(model)
        columns = zip(*map(values_of, some), strict=True)
        written = [texts(column, {}, part) for column, part in zip(columns, parts, strict=True)]
        found += ["{" + "".join(row)[1:] + "}" for row in zip(*written, strict=True)]
    return found


def dump(values: Any) -> str:
    """Write plain values as canonical JSON."""
    return _ENCODER.encode(values)


_ENCODER = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@cache
def readers(model: type[models.Model]) -> tuple[tuple[str, Callable[[models.Model], Any]], ...]:
    """Return (column name, reader) for every stored column that is no derivation."""
    return tuple((field.attname, attrgetter(field.attname)) for field in _fields(model))


def _fields(model: type[models.Model]) -> list[Any]:
    derived = set(getattr(model, "DERIVED", ()))
    fields = [field for field in model._meta.concrete_fields if field.name not in derived]
    return sorted(fields, key=attrgetter("attname"))


@cache
def _parts(model: type[models.Model]) -> tuple[list[Write], Callable[[models.Model], tuple[Any, ...]]]:
    """How each of a model's values stands in the text, a comma before it, and how to read them all at once."""
    fields = _fields(model)
    return [_part(one.attname, None if one.primary_key else one.get_default()) for one in fields], reader(fields)


def _part(name: str, default: Any) -> Write:
    start, silent = f',"{name}":', default is None or default == ""

    def write(value: Any) -> str:
        if silent and (value is None or value == "") and value == default:
            return ""
        return start + _JSON.get(type(value), _other)(value)

    return write


def plain(value: Any) -> Any:
    """Return a value as JSON can hold it, the same before it is stored and after it is read back."""
    kind = type(value)
    if kind is str or kind is int or kind is bool or value is None:
        return value
    if kind is uuid.UUID:
        return value.hex
    if kind is Decimal:
        return decimal_text(value)
    if kind is datetime:
        return time_text(value)
    if kind is date:
        return value.isoformat()
    if isinstance(value, FieldFile):
        return value.name or ""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return str(value)


@lru_cache(maxsize=4096)
def decimal_text(value: Decimal) -> str:
    """Write a decimal without an exponent and without zeros that say nothing."""
    if not value:
        return "0"
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


@lru_cache(maxsize=4096)
def time_text(value: datetime) -> str:
    """Write a time in UTC, to the microsecond."""
    return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def _other(value: Any) -> str:
    return dump(plain(value))


# How a value of each type stands in the text: what `dump` makes of its `plain` form.
_JSON: dict[type, Callable[[Any], str]] = {
    type(None): lambda value: "null",
    str: encode_basestring,
    int: str,
    bool: lambda value: "true" if value else "false",
    uuid.UUID: lambda value: f'"{value.hex}"',
    Decimal: lambda value: f'"{decimal_text(value)}"',
    datetime: lambda value: f'"{time_text(value)}"',
    date: lambda value: f'"{value.isoformat()}"',
}
