"""The sender of a worker: a few calls at once, one for each webhook, so that a slow receiver holds up only itself."""

import logging
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from datetime import datetime, timedelta
from threading import Event, Thread

from django.db import DatabaseError, close_old_connections
from django.utils import timezone

from office.calling.deliveries import Parcel, call, forget, settle, take
from office.calling.post import Outcome

logger = logging.getLogger(__name__)
HANDS = 8
# How soon something new is seen, in seconds; looking costs one query on an index of what is due.
POLL_SECONDS = 2.0
FAILED = "The program failed at this; the server’s log says why."
FORGET_EVERY = timedelta(hours=1)


class Sender:
    """Takes what is due, calls, and writes how it went; all queries from the one thread that it runs in."""

    def __init__(self) -> None:
        self._pool = ThreadPoolExecutor(HANDS, thread_name_prefix="webhook")
        self._under_way: dict[Future[Outcome], Parcel] = {}
        self._forgot_at: datetime | None = None

    def step(self, patience: float = POLL_SECONDS) -> bool:
        """Take what is due and settle what has come back; False where nothing was due and nothing is under way."""
        busy = {parcel.webhook.id for parcel in self._under_way.values()}
        for parcel in take(HANDS - len(busy), but=busy) if len(busy) < HANDS else ():
            self._under_way[self._pool.submit(call, parcel)] = parcel
        if not self._under_way:
            return False
        done, _ = wait(self._under_way, timeout=patience, return_when=FIRST_COMPLETED)
        for future in done:
            parcel = self._under_way.pop(future)
            if fault := future.exception():
                logger.error("Delivery %s failed.", parcel.delivery, exc_info=fault)
            settle(parcel, Outcome(None, FAILED, 0) if fault else future.result())
        return True

    def run(self, told: Event) -> None:
        """Send until told to stop; what is under way then is sent again by the next worker."""
        while not told.is_set():
            try:
                idle = not self.step()
                self._forget()
            except DatabaseError:
                # A database that is busy or away for a moment is met again at the next round.
                logger.warning("Webhooks could not be looked after.", exc_info=True)
                idle = True
            except Exception:
                # A thread that ended would be missed by nobody until somebody asked why nothing is sent.
                logger.exception("Webhooks could not be looked after.")
                idle = True
            if idle:
                close_old_connections()
                told.wait(POLL_SECONDS)
        self.close()

    def close(self) -> None:
        """Let the hands go."""
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _forget(self) -> None:
        now = timezone.now()
        if self._forgot_at is None or now - self._forgot_at > FORGET_EVERY:
            self._forgot_at = now
            while forget(now):
                continue


def send_due() -> None:
    """Send whatever is due, and come back when nothing is."""
    sender = Sender()
    try:
        while sender.step():
            continue
    finally:
        sender.close()


def start_sending() -> Event:
    """Send in a thread until the event that comes back is set."""
    told = Event()
    Thread(target=Sender().run, args=(told,), name="webhooks", daemon=True).start()
    return told
