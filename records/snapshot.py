"""Reading for long at one moment: what others write meanwhile does not show, and nobody waits."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def snapshot() -> Iterator[None]:
    """Everything read inside is of one moment; nothing may be written inside, and writers are not held up.

    Inside a transaction that is already open the caller's own view is kept.
    """
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield
    else:
        with _reading_sqlite():
            yield


@contextmanager
def _reading_sqlite() -> Iterator[None]:
    """Django's own transactions take SQLite's one write lock at once; a deferred one that only reads never does."""
    with connection.cursor() as cursor:
        cursor.execute("BEGIN DEFERRED")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("ROLLBACK")
