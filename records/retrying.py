"""Do an action again where the database gave it up for another's sake, and say so where that does not help."""

import random
from collections.abc import Callable
from functools import wraps
from time import sleep
from typing import ParamSpec, TypeVar

from django.db import OperationalError, connection

from records.refusals import Busy

P = ParamSpec("P")
T = TypeVar("T")
TRIES = 4
# The longest wait before the second try; before the third twice as long, and so on.
PAUSE_SECONDS = 0.2
# SQLSTATE of PostgreSQL: serialization failure, deadlock found, a lock that was not to be had in time.
GIVEN_UP = ("40001", "40P01", "55P03")
# SQLite says it in words; it has waited for its whole time-out by then.
LOCKED = ("database is locked", "database table is locked")


def retried(action: Callable[P, T]) -> Callable[P, T]:
    """Run the action again, a few times, where its transaction was given up because others held what it needs.

    Inside a transaction of the caller the action runs once: only the outermost, which begins it, can run it again.
    Nothing of a try that was given up is stored, and records carry ids of their own, so a second try doubles nothing.
    Raises  Busy where the last try was given up too, or SQLite stayed locked for its whole time-out
    """

    @wraps(action)
    def doing(*args: P.args, **kwargs: P.kwargs) -> T:
        if connection.in_atomic_block:
            return action(*args, **kwargs)
        for tried in range(1, TRIES + 1):
            try:
                return action(*args, **kwargs)
            except OperationalError as error:
                if not is_given_up(error):
                    raise
                if tried == TRIES or connection.vendor == "sqlite":
                    raise Busy(BUSY) from error
            sleep(random.uniform(0, PAUSE_SECONDS * tried))
        raise AssertionError("the last try returns or raises")

    return doing


BUSY = (
    "Others are writing to the same joints, or a large import is under way, so nothing was stored. "
    "Send it again in a minute."
)


def is_given_up(error: OperationalError) -> bool:
    """Say whether the database gave a transaction up because of others, so that the same may succeed later."""
    state = getattr(error.__cause__, "sqlstate", None)
    return state in GIVEN_UP if state else str(error) in LOCKED
