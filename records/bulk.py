"""Write many rows at once: COPY on PostgreSQL, batches elsewhere."""

from collections.abc import Sequence
from typing import Any

from django.db import connection, models
from django.db.models.fields.files import FieldFile
from psycopg.types.json import Jsonb

COPY_FROM = 500
BATCH = 400


def insert(rows: Sequence[models.Model]) -> None:
    """Insert rows of one model that have their keys; an existing key fails the whole."""
    if not rows:
        return
    model = type(rows[0])
    if connection.vendor == "postgresql" and len(rows) >= COPY_FROM:
        _copy(model, rows)
    else:
        model._default_manager.bulk_create(rows, batch_size=BATCH)


def _copy(model: type[models.Model], rows: Sequence[models.Model]) -> None:
    fields = [field for field in model._meta.concrete_fields if not isinstance(field, models.AutoField)]
    names = [field.attname for field in fields]
    jsons = {index for index, field in enumerate(fields) if isinstance(field, models.JSONField)}
    files = {index for index, field in enumerate(fields) if isinstance(field, models.FileField)}
    columns = ", ".join(f'"{field.column}"' for field in fields)
    with connection.cursor() as cursor, cursor.copy(f"COPY {model._meta.db_table} ({columns}) FROM STDIN") as copy:
        for row in rows:
            values: list[Any] = [getattr(row, name) for name in names]
            for index in jsons:
                values[index] = Jsonb(values[index])
            for index in files:
                file = values[index]
                values[index] = (file.name or "") if isinstance(file, FieldFile) else file
            copy.write_row(values)


def update(model: type[models.Model], columns: Sequence[str], values: Sequence[tuple[Any, ...]]) -> None:
    """Set `columns` of rows by primary key.

    values  tuples of the key first, then one value per column, in the database's own types
    """
    if not values:
        return
    if connection.vendor == "postgresql" and len(values) >= COPY_FROM:
        _update_by_copy(model, columns, values)
        return
    names = [model._meta.get_field(name).attname for name in columns]  # type: ignore[union-attr]
    objects = [model(pk=row[0], **dict(zip(names, row[1:], strict=True))) for row in values]
    model._default_manager.bulk_update(objects, list(columns), batch_size=100)


def _update_by_copy(model: type[models.Model], columns: Sequence[str], values: Sequence[tuple[Any, ...]]) -> None:
    table = model._meta.db_table
    key = model._meta.pk.column
    fields = [model._meta.get_field(name).column for name in columns]  # type: ignore[union-attr]
    listed = ", ".join(f'"{name}"' for name in [key, *fields])
    assigned = ", ".join(f'"{name}" = f."{name}"' for name in fields)
    with connection.cursor() as cursor:
        cursor.execute(f"CREATE TEMPORARY TABLE fresh ON COMMIT DROP AS SELECT {listed} FROM {table} WITH NO DATA")
        with cursor.copy(f"COPY fresh ({listed}) FROM STDIN") as copy:
            for row in values:
                copy.write_row(row)
        cursor.execute(f'UPDATE {table} t SET {assigned} FROM fresh f WHERE t."{key}" = f."{key}"')
        cursor.execute("DROP TABLE fresh")
