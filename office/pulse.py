"""A worker's sign of life: tells how far the work is, from a thread and a connection of its own."""

import logging
from threading import Event, Thread
from types import TracebackType

from django.db import DatabaseError, connection
from django.utils import timezone

from records import work as works
from records.clock import local_time
from records.models import Work
from records.work import Lost

logger = logging.getLogger(__name__)
# How often progress is written while it changes, in seconds.
TELL_EVERY = 0.5
MOST_LOG = 20_000  # letters


class Pulse:
    """Inside, `tell` says how far the work is; the row hears of it twice a second at most, and never less than needed.

    The work itself may be deep in a long transaction, whose writes nobody else sees; hence the second connection.
    """

    def __init__(self, work: Work) -> None:
        self.work = work
        self.step, self.done, self.total = "", 0, 0
        self.log = work.log
        self._lost, self._ended = Event(), Event()
        self._thread = Thread(target=self._beat, name=f"pulse {work.id}", daemon=True)

    def __enter__(self) -> "Pulse":
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._ended.set()
        self._thread.join()

    def tell(self, step: str, done: int = 0, total: int = 0) -> None:
        """Say what is being done and how far it is. Raises Lost where another worker has taken the row."""
        if self._lost.is_set():
            raise Lost
        if step != self.step:
            self.note(step)
        self.step, self.done, self.total = step, done, total

    def note(self, line: str) -> None:
        """Add a line to the row's log, with the time on the job's site."""
        if len(self.log) > MOST_LOG:
            # A job of ten thousand sheets: the beginning and the latest steps tell enough.
            self.log = f"{self.log[: MOST_LOG // 4]}\n...\n{self.log[-MOST_LOG // 4 :]}"
        self.log += f"{local_time(self.work.job, timezone.now()):%H:%M:%S} {line}\n"

    def _beat(self) -> None:
        quiet = works.SILENCE.total_seconds() / 4
        waited, told = 0.0, self._state()
        while not self._ended.wait(TELL_EVERY):
            waited += TELL_EVERY
            if self._state() != told or waited >= quiet:
                waited, told = 0.0, self._state()
                self._write()
        connection.close()

    def _state(self) -> tuple[str, int, int, str]:
        return self.step, self.done, self.total, self.log

    def _write(self) -> None:
        try:
            held = works.beat(self.work, step=self.step, done=self.done, total=self.total, log=self.log)
        except DatabaseError:
            # A database that is away for a moment is met again at the next beat.
            logger.warning("Work %s could not tell how far it is.", self.work.id, exc_info=True)
        else:
            if not held:
                self._lost.set()
