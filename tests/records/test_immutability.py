"""The database itself refuses to change, remove or overwrite a record."""

import sqlite3

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, models, transaction

from records.immutability import PROTECTED, expected_triggers, missing_triggers
from tests.records.scene import every_kind

BY_TABLE = {model._meta.db_table: model for model in PROTECTED}
TABLES = list(BY_TABLE)
pytestmark = pytest.mark.usefixtures("own_database")


def refused(statement: str) -> bool:
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    except DatabaseError:
        return True
    return False


def count(table: str) -> int:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT count(*) FROM {table}")
        return int(cursor.fetchone()[0])


def attempts(table: str, column: str) -> list[str]:
    statements = [f"UPDATE {table} SET {column} = {column}", f"DELETE FROM {table}"]
    if connection.vendor == "postgresql":
        return [
            *statements,
            f"TRUNCATE {table} CASCADE",
            f"MERGE INTO {table} t USING {table} s ON t.{column} = s.{column} WHEN MATCHED THEN DELETE",
        ]
    return [
        *statements,
        f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
        f"REPLACE INTO {table} SELECT * FROM {table}",
        *(
            f"INSERT OR REPLACE INTO {table} ({names}) SELECT {other} FROM {table}"
            for names, other in [by_rowid(table)]
        ),
    ]


def by_rowid(table: str) -> tuple[str, str]:
    """The columns of a row with SQLite's own hidden key, and the same row under other keys in its place."""
    columns = [field.column for field in BY_TABLE[table]._meta.concrete_fields]
    keys = {"id": "lower(hex(randomblob(16)))", "number": "number + 1000000", "replaces_id": "NULL"}
    return ", ".join(["rowid", *map(quoted, columns)]), ", ".join(
        ["rowid", *(keys.get(one, quoted(one)) for one in columns)]
    )


def quoted(name: str) -> str:
    return f'"{name}"'


def test_refuses_update_delete_truncate_and_replace_on_every_record_table() -> None:
    every_kind()
    for model in PROTECTED:
        table = model._meta.db_table
        before = count(table)
        assert before > 0, f"{table} is empty, so nothing would be proven"
        for statement in attempts(table, "job_id"):
            assert refused(statement), statement
        assert count(table) == before


def test_refuses_them_after_a_migration_that_adds_a_column() -> None:
    every_kind()
    column = models.IntegerField(default=3)
    for model in PROTECTED:
        column.set_attributes_from_name("added_later")
        with connection.schema_editor() as editor:
            column.model = model
            editor.add_field(model, column)
    if connection.vendor == "sqlite":
        assert missing_triggers(connection), "SQLite no longer drops triggers: this test proves nothing any more"
    call_command("migrate", verbosity=0)
    assert missing_triggers(connection) == []
    for table in TABLES:
        for statement in attempts(table, "job_id"):
            assert refused(statement), statement


def test_names_each_trigger_that_is_missing() -> None:
    table, name = expected_triggers(connection)[0]
    place = f" ON {table}" if connection.vendor == "postgresql" else ""
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TRIGGER {name}{place}")
    assert missing_triggers(connection) == [f"{table}: {name}"]
    with pytest.raises(SystemExit):
        call_command("check_triggers")


def test_refuses_them_on_a_bare_sqlite_connection(own_database: str) -> None:
    if connection.vendor != "sqlite":
        pytest.skip("a bare SQLite connection needs SQLite")
    every_kind()
    connection.close()
    bare = sqlite3.connect(own_database)
    for table in TABLES:
        for statement in attempts(table, "job_id"):
            with pytest.raises(sqlite3.DatabaseError, match="never changed or removed"):
                bare.execute(statement)
    bare.close()


def test_a_session_in_replica_mode_does_not_slip_past() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("replica mode is PostgreSQL's")
    every_kind()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        with pytest.raises(DatabaseError, match="never changed or removed"):
            cursor.execute("DELETE FROM records_fitup")
