"""Let the database work while Python does: statements are sent, and waited for only when Python has done its part."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.db import connection


@contextmanager
def meanwhile(statements: Sequence[str]) -> Iterator[None]:
    """Send statements to PostgreSQL, and wait for their end at the end of the block.

    The block must leave the database alone. What goes wrong with a statement is raised at the block's end.
    """
    with connection.wrap_database_errors, connection.cursor() as cursor, connection.connection.pipeline():
        for statement in statements:
            cursor.execute(statement)
        yield
