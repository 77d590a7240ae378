"""Let the database work while Python does: whoever asks it next waits first for the end of what it was handed."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from typing import Any

from django.db import connection

# Who hands over more pieces of work than this waits for the first of them: what they hold stays in memory so long.
MOST = 8


@dataclass(frozen=True, slots=True)
class Copy:
    """Rows to copy: the statement, and their text as COPY takes it, in parts."""

    statement: str
    parts: Iterable[str]


Step = str | Copy


class _AtWork:
    """What was set to work; stands before every statement, and lets it through when all before it has ended."""

    def __init__(self) -> None:
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="at-work")
        self._works: deque[Future[None]] = deque()
        self.awaited = ""
        self.write: Callable[[], None] | None = None

    def __call__(self, execute: Callable[..., Any], *what: Any) -> Any:
        if self.write is not None:
            write, self.write = self.write, None
            write()
        self.wait()
        return execute(*what)

    @property
    def is_behind(self) -> bool:
        return sum(not one.done() for one in self._works) > 1

    def start(self, steps: Sequence[Step]) -> None:
        while len(self._works) >= MOST:
            self._end_first()
        # Past Django's own cursor, before which this stands, and which knows no other thread.
        held = [replace(one, parts=list(one.parts)) if isinstance(one, Copy) else one for one in steps]
        self._works.append(self._thread.submit(_take, connection.connection.cursor(), held))

    def wait(self) -> None:
        while self._works:
            self._end_first()

    def leave(self) -> None:
        """Let nothing go on: what follows the block must not meet it in another transaction."""
        for one in self._works:
            one.cancel()
        wait(self._works)
        self._works.clear()
        self._thread.shutdown()

    def _end_first(self) -> None:
        with connection.wrap_database_errors:
            self._works.popleft().result()


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
        at_work.leave()


def set_to_work(steps: Sequence[Step]) -> None:
    """Hand steps to PostgreSQL and go on; whoever next asks it for anything waits for their end first.

    What goes wrong with a step is raised there. Outside `unhurried` they are waited for at once.
    """
    at_work = _current.get()
    if at_work is not None:
        at_work.start(steps)
        return
    with connection.wrap_database_errors:
        _take(connection.cursor(), steps)


def is_behind() -> bool:
    """Whether PostgreSQL has more to do than what it is at, so that what can wait is better set to work later."""
    at_work = _current.get()
    return at_work is not None and at_work.is_behind


def hold_back(table: str, write: Callable[[], None]) -> bool:
    """Have rows of one table written later: at the latest before the database is next asked for anything.

    Returns whether they may be; outside `unhurried`, and on another database, they are to be written now.
    """
    at_work = _current.get()
    if at_work is None or connection.vendor != "postgresql":
        return False
    at_work.awaited, at_work.write = table, write
    return True


def take_over() -> None:
    """Leave it to the caller to write what was held back, before it lets references to it be checked by `arrived`."""
    if at_work := _current.get():
        at_work.write = None


def arrived() -> None:
    """Say that what was held back is written."""
    if at_work := _current.get():
        at_work.awaited, at_work.write = "", None


def awaited() -> str:
    """The table whose rows are held back, so that references to it can't be checked yet; mostly none."""
    at_work = _current.get()
    return at_work.awaited if at_work else ""


def _take(cursor: Any, steps: Iterable[Step]) -> None:
    with cursor:
        for one in steps:
            if isinstance(one, str):
                cursor.execute(one)
                continue
            with cursor.copy(one.statement) as copy:
                for part in one.parts:
                    copy.write(part)
