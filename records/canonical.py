"""The canonical form of a row: the text whose hash stands in the journal."""

import json
import uuid
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache
from typing import Any

from django.db import models
from django.db.models.fields.files import FieldFile

FORM = 1


def canonical(row: models.Model) -> str:
    """Return a row as canonical JSON: sorted keys, no spaces, decimals without trailing zeros, times in UTC.

    Derived columns are left out; they follow from the records. People stand as numbers, since a name can be erased on
    request while the record stays.
    """
    return dump({name: plain(read(row)) for name, read in readers(type(row))})


def dump(values: Any) -> str:
    """Write plain values as canonical JSON."""
    return json.dumps(values, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@cache
def readers(model: type[models.Model]) -> tuple[tuple[str, Callable[[models.Model], Any]], ...]:
    """Return (column name, reader) for every stored column that is no derivation."""
    derived = set(getattr(model, "DERIVED", ()))
    names = [field.attname for field in model._meta.concrete_fields if field.name not in derived]
    return tuple((name, _reader(name)) for name in sorted(names))


def _reader(name: str) -> Callable[[models.Model], Any]:
    return lambda row: getattr(row, name)


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
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    if kind is date:
        return value.isoformat()
    if isinstance(value, FieldFile):
        return value.name or ""
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return str(value)


def decimal_text(value: Decimal) -> str:
    """Write a decimal without an exponent and without zeros that say nothing."""
    if not value:
        return "0"
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
