"""A database of one test's own, in which transactions really commit, and rows that the tests of a module share.

Records can't be deleted, so nothing can be flushed after a test that commits; its clone of the template is thrown away.
"""

import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any, TypeVar

import psycopg
import pytest
from django.db import connection, connections, transaction
from django.test.utils import override_settings, setup_databases, teardown_databases
from psycopg import sql

Made = TypeVar("Made")


@contextmanager
def made_once(make: Callable[[], Made], blocker: Any, files: Path) -> Iterator[Made]:
    """Put rows into the database, and files into a folder, for the tests of one module; take the rows back at its end.

    Each test's own transaction lies within this one and ends first: all find the rows as they were made.
    """
    around = transaction.atomic()
    around._from_testcase = True  # type: ignore[attr-defined] # so that durable transactions may begin within
    with blocker.unblock(), around:
        with override_settings(MEDIA_ROOT=files):
            made = make()
        with blocker.block():
            yield made
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def template_database(django_db_setup: None, django_db_blocker: Any) -> Iterator[str]:
    """The migrated test database; pytest-django makes none where no collected test is marked as using one."""
    test_name = str(connection.settings_dict["TEST"]["NAME"])
    made = None
    with django_db_blocker.unblock():
        if connection.settings_dict["NAME"] != test_name:
            made = setup_databases(verbosity=0, interactive=False)
        connection.close()
    yield test_name
    if made:
        with django_db_blocker.unblock():
            teardown_databases(made, verbosity=0)


@pytest.fixture
def own_database(template_database: str, django_db_blocker: Any) -> Iterator[str]:
    """Point the default connection, and those of new threads, at a clone of the migrated template."""
    with django_db_blocker.unblock():
        template = template_database
        assert not connection.in_atomic_block, "rows that a module shares are lost with their connection"
        connection.close()
        clone = _clone(template)
        connection.settings_dict["NAME"] = clone
        try:
            yield clone
        finally:
            connections.close_all()
            connection.settings_dict["NAME"] = template
            _drop(clone)


def _clone(template: str) -> str:
    if connection.vendor != "postgresql":
        clone = f"{template}.{uuid.uuid4().hex[:8]}"
        with closing(sqlite3.connect(template)) as source, closing(sqlite3.connect(clone)) as target:
            source.backup(target)
        return clone
    clone = f"{template}_{uuid.uuid4().hex[:8]}"
    _on_server(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(clone), sql.Identifier(template)))
    return clone


def _drop(clone: str) -> None:
    if connection.vendor == "postgresql":
        _on_server(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(clone)))
        return
    for ending in ("", "-wal", "-shm"):
        Path(clone + ending).unlink(missing_ok=True)


def _on_server(command: sql.Composed) -> None:
    settings = connection.settings_dict
    with psycopg.connect(
        host=settings["HOST"] or None,
        port=settings["PORT"] or None,
        user=settings["USER"] or None,
        password=settings["PASSWORD"] or None,
        dbname="postgres",
        autocommit=True,
    ) as server:
        server.execute(command)
