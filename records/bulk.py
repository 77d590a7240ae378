"""Write many rows at once: COPY on PostgreSQL, batches elsewhere."""

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from itertools import islice
from operator import attrgetter
from typing import Any
from uuid import UUID

from django.db import connection, models
from django.db.models.fields.files import FieldFile

from records.meanwhile import Copy, Step, awaited, set_to_work
from records.texts import reader, texts

COPY_FROM = 500
BATCH = 400
# Lines of a COPY that are sent together.
LINES = 1000
# References are checked when a transaction ends, which would keep Python waiting; asked for now, now.
_CHECK_REFERENCES = ("SET CONSTRAINTS ALL IMMEDIATE", "SET CONSTRAINTS ALL DEFERRED")
# All but those to a table of which rows are still to come.
_CHECK_OTHERS = """DO $$ BEGIN EXECUTE (
    SELECT 'SET CONSTRAINTS ' || string_agg(quote_ident(conname), ', ') || ' IMMEDIATE' FROM pg_constraint
    WHERE contype = 'f' AND condeferrable AND confrelid <> '{table}'::regclass AND pg_table_is_visible(conrelid)
); END $$"""
Values = Sequence[Any]


def insert(rows: Sequence[models.Model]) -> None:
    """Insert rows of one model that have their keys; an existing key fails the whole.

    Inside `meanwhile.unhurried` PostgreSQL is still at it afterwards, and what fails is raised with the next statement.
    """
    if not rows:
        return
    model = type(rows[0])
    if not _by_copy(len(rows)):
        model._default_manager.bulk_create(rows, batch_size=BATCH)
        return
    fields = [field for field in model._meta.concrete_fields if not isinstance(field, models.AutoField)]
    set_to_work([_copy(model._meta.db_table, fields, map(reader(fields), rows))])


def insert_values(model: type[models.Model], columns: Sequence[str], rows: Iterable[Values], count: int) -> None:
    """Insert `count` rows given as their values, one for each of the columns (by attribute name, `job_id` for example).

    Outside `meanwhile.unhurried` PostgreSQL takes them in while the next ones are still being made, inside afterwards.
    """
    if not _by_copy(count):
        objects = [model(**dict(zip(columns, row, strict=True))) for row in rows]
        model._default_manager.bulk_create(objects, batch_size=BATCH)
        return
    by_name = {field.attname: field for field in model._meta.concrete_fields}
    set_to_work([_copy(model._meta.db_table, [by_name[name] for name in columns], rows)])


def update(model: type[models.Model], columns: Sequence[str], values: Sequence[tuple[Any, ...]]) -> None:
    """Set `columns` of rows by primary key; inside `meanwhile.unhurried` PostgreSQL is still at it afterwards.

    Many rows have their references checked with it: those that the same transaction made, PostgreSQL checks again.

    values  tuples of the key first, then one value per column, in the database's own types
    """
    fields: list[Any] = [model._meta.get_field(name) for name in columns]
    if _by_copy(len(values)):
        set_to_work([*_update_by_copy(model, fields, values), *_CHECK_REFERENCES])
        return
    names = [field.attname for field in fields]
    objects = [model(pk=row[0], **dict(zip(names, row[1:], strict=True))) for row in values]
    model._default_manager.bulk_update(objects, list(columns), batch_size=100)


def check_references(rows: int) -> None:
    """Have PostgreSQL check the references of all that the transaction has written so far.

    rows    how many were just written; a few are checked sooner than it is asked for
    Raises  IntegrityError where a row refers to one that is not there, be it that it would still have come; inside
            `meanwhile.unhurried` with the next statement
    """
    if not _by_copy(rows):
        return
    to_come = awaited()
    set_to_work((_CHECK_OTHERS.format(table=to_come), _CHECK_REFERENCES[1]) if to_come else _CHECK_REFERENCES)


def _by_copy(count: int) -> bool:
    """Whether rows are copied: many, or a few while others are held back, which a statement would call for."""
    return connection.vendor == "postgresql" and (count >= COPY_FROM or bool(awaited()))


def _update_by_copy(model: type[models.Model], fields: Sequence[Any], values: Sequence[Values]) -> list[Step]:
    table = model._meta.db_table
    key = model._meta.pk
    listed = ", ".join(f'"{field.column}"' for field in [key, *fields])
    assigned = ", ".join(f'"{field.column}" = f."{field.column}"' for field in fields)
    return [
        f"CREATE TEMPORARY TABLE fresh ON COMMIT DROP AS SELECT {listed} FROM {table} WITH NO DATA",
        _copy("fresh", [key, *fields], values),
        f'UPDATE {table} t SET {assigned} FROM fresh f WHERE t."{key.column}" = f."{key.column}"',
        "DROP TABLE fresh",
    ]


def _copy(table: str, fields: Sequence[Any], rows: Iterable[Values]) -> Copy:
    columns = ", ".join(f'"{field.column}"' for field in fields)
    return Copy(f"COPY {table} ({columns}) FROM STDIN", _lines(fields, rows))


def _lines(fields: Sequence[Any], rows: Iterable[Values]) -> Iterator[str]:
    """Rows as lines of text; psycopg would look up how to write every single value, at several times the cost."""
    writers = [_JSON if isinstance(field, models.JSONField) else _TEXT for field in fields]
    rows = iter(rows)
    while some := list(islice(rows, LINES)):
        by_column = zip(*some, strict=True)
        written = [_written(values, write) for values, write in zip(by_column, writers, strict=True)]
        yield "\n".join([*map("\t".join, zip(*written, strict=True)), ""])


def _written(values: Values, writers: Mapping[type, Callable[[Any], str]]) -> Iterable[str]:
    """A column's values as COPY takes them; texts without a sign to escape, which most are, stand as they are."""
    if writers is _TEXT and set(map(type, values)) == _ONLY_TEXTS and _is_plain("\n".join(values), len(values)):
        return values
    return texts(values, writers, _other)


def _is_plain(joined: str, count: int) -> bool:
    """Whether no text of a column, joined by line ends, holds a sign that is escaped."""
    return joined.count("\n") == count - 1 and not any(sign in joined for sign in "\\\t\r")


def _escaped(text: str) -> str:
    """A text as COPY takes it: what it would read as the end of a value or a line, or as an escape, is escaped."""
    if "\\" not in text and text.isprintable():
        return text
    return text.replace("\\", "\\\\").replace("\t", "\\t").replace("\n", "\\n").replace("\r", "\\r")


def _json(value: Any) -> str:
    return _escaped(json.dumps(value))


def _other(value: Any) -> str:
    """Values of other types: a file stands as its name."""
    if isinstance(value, FieldFile):
        return _escaped(value.name or "")
    return _escaped(str(value))


_TEXT: dict[type, Callable[[Any], str]] = {
    type(None): lambda value: "\\N",
    str: _escaped,
    int: str,
    bool: lambda value: "t" if value else "f",
    Decimal: str,
    UUID: attrgetter("hex"),
    date: date.isoformat,
    datetime: datetime.isoformat,
}
_ONLY_TEXTS = {str}
_JSON: dict[type, Callable[[Any], str]] = dict.fromkeys((type(None), str, int, float, bool, dict, list), _json)
