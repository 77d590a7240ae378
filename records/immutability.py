"""Triggers by which the database itself refuses to change or remove a record."""

from collections.abc import Iterator, Sequence

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper

from records.models import RECORDS, JournalEntry

PREFIX = "immutable_"
PROTECTED: tuple[type[models.Model], ...] = (*RECORDS, JournalEntry)
_ACTIONS = ("update", "delete", "replace")


def install_triggers(connection: BaseDatabaseWrapper) -> None:
    """Create every trigger anew; a migration on SQLite rebuilds a table and silently drops its triggers."""
    present = set(connection.introspection.table_names())
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_POSTGRESQL_FUNCTION)
        for model in PROTECTED:
            if model._meta.db_table in present:
                for statement in _statements(model, connection):
                    cursor.execute(statement)


def remove_triggers(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away: what a tamperer with the owner's rights would do, and what tests of the journal do."""
    with connection.cursor() as cursor:
        for table, name in expected_triggers(connection):
            cursor.execute(
                f"DROP TRIGGER IF EXISTS {name}" + (f" ON {table}" if connection.vendor == "postgresql" else "")
            )


def missing_triggers(connection: BaseDatabaseWrapper) -> list[str]:
    """Return `table: trigger` for each trigger that should stand and does not (or is switched off)."""
    present = _present(connection)
    return [f"{table}: {name}" for table, name in expected_triggers(connection) if (table, name) not in present]


def expected_triggers(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    """Return (table, trigger) of all that should stand."""
    actions = ("write",) if connection.vendor == "postgresql" else _ACTIONS
    return [
        (model._meta.db_table, f"{PREFIX}{model._meta.db_table}_{action}") for model in PROTECTED for action in actions
    ]


def _present(connection: BaseDatabaseWrapper) -> set[tuple[str, str]]:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # tgenabled: A is "always", which a session in replica mode can't slip past.
            cursor.execute(
                "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid"
                " WHERE NOT t.tgisinternal AND t.tgenabled = 'A' AND pg_table_is_visible(c.oid)"
            )
        else:
            cursor.execute("SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger'")
        return {(table, name) for table, name in cursor.fetchall()}


def _statements(model: type[models.Model], connection: BaseDatabaseWrapper) -> Iterator[str]:
    table = model._meta.db_table
    if connection.vendor == "postgresql":
        name = f"{PREFIX}{table}_write"
        yield f"DROP TRIGGER IF EXISTS {name} ON {table}"
        yield (
            f"CREATE TRIGGER {name} BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}"
            " FOR EACH STATEMENT EXECUTE FUNCTION refuse_to_change_a_record()"
        )
        yield f"ALTER TABLE {table} ENABLE ALWAYS TRIGGER {name}"
        return
    for action in _ACTIONS:
        yield f"DROP TRIGGER IF EXISTS {PREFIX}{table}_{action}"
    said = f"SELECT RAISE(ABORT, '{table} holds records, which are never changed or removed')"
    yield f"CREATE TRIGGER {PREFIX}{table}_update BEFORE UPDATE ON {table} BEGIN {said}; END"
    yield f"CREATE TRIGGER {PREFIX}{table}_delete BEFORE DELETE ON {table} BEGIN {said}; END"
    # INSERT OR REPLACE removes the row it meets on any unique key without a delete trigger, unless the connection
    # asked for recursive triggers; so an insert that meets a row is refused before it starts.
    yield (
        f"CREATE TRIGGER {PREFIX}{table}_replace BEFORE INSERT ON {table} WHEN {_meets_a_row(model)} BEGIN {said}; END"
    )


def _meets_a_row(model: type[models.Model]) -> str:
    table = model._meta.db_table
    keys: list[Sequence[str]] = [[field.name] for field in model._meta.concrete_fields if field.unique]
    keys += [one.fields for one in model._meta.constraints if isinstance(one, models.UniqueConstraint)]
    if isinstance(model._meta.pk, models.CompositePrimaryKey):
        keys.append(model._meta.pk.field_names)
    columns = {field.name: field.column for field in model._meta.concrete_fields}
    columns |= {field.attname: field.column for field in model._meta.concrete_fields}
    same = [" AND ".join(f'"{columns[name]}" = NEW."{columns[name]}"' for name in key) for key in keys]
    # SQLite's own hidden key; one that nobody gave shows here as -1, and those that it gives are above 0.
    same.append("NEW.rowid > 0 AND rowid = NEW.rowid")
    return " OR ".join(f"EXISTS (SELECT 1 FROM {table} WHERE {condition})" for condition in same)


_POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_to_change_a_record() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% holds records, which are never changed or removed', TG_TABLE_NAME
        USING ERRCODE = 'restrict_violation';
END $$
"""
