"""Let the database work while Python does: statements are sent, and whoever asks it next waits for their end first."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from contextvars import ContextVar
from typing import Any

from django.db import DatabaseError, connection


class _AtWork:
    """What was set to work; stands before every statement, and lets it through when those before have ended."""

    def __init__(self) -> None:
        self._started: ExitStack | None = None

    def __call__(self, execute: Callable[..., Any], *what: Any) -> Any:
        self.wait()
        return execute(*what)

    def start(self, statements: Sequence[str]) -> None:
        self.wait()
        with ExitStack() as stack:
            stack.enter_context(connection.wrap_database_errors)
            cursor = stack.enter_context(connection.cursor())
            stack.enter_context(connection.connection.pipeline())
            for statement in statements:
                # Past Django's own cursor, before which this stands.
                cursor.cursor.execute(statement)
            self._started = stack.pop_all()

    def wait(self) -> None:
        started, self._started = self._started, None
        if started is not None:
            started.close()


_current: ContextVar[_AtWork | None] = ContextVar("at_work", default=None)


@contextmanager
def unhurried() -> Iterator[None]:
    """Inside, `set_to_work` leaves PostgreSQL at work; at the end of the outermost block all is waited for."""
    if _current.get() is not None:
        yield
        return
    at_work = _AtWork()
    token = _current.set(at_work)
    try:
        with connection.execute_wrapper(at_work):
            yield
            at_work.wait()
    finally:
        _current.reset(token)
        # Where the block was left by a fault, the transaction is lost: what its last statements say no longer matters.
        with suppress(DatabaseError):
            at_work.wait()


def set_to_work(statements: Sequence[str]) -> None:
    """Send statements to PostgreSQL and go on; whoever next asks it for anything waits for their end first.

    What goes wrong with a statement is raised there. Outside `unhurried` they are waited for at once.
    """
    at_work = _current.get()
    if at_work is not None:
        at_work.start(statements)
        return
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def wait_for_work() -> None:
    """Wait for what was set to work, if anything was: for what speaks to PostgreSQL past Django's own cursor."""
    at_work = _current.get()
    if at_work is not None:
        at_work.wait()
