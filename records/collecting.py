"""Leave Python's search for rings of objects aside while rows are made by the hundred thousand."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Inside, garbage is freed as it falls, but rings of objects that hold each other only afterwards.

    Rows and facts form no rings, and looking through hundreds of thousands of them again and again for some takes a
    quarter of an import's time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
