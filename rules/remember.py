"""Results worked out once for an object, kept by its identity: joints share procedures, heats and welders."""

from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

V = TypeVar("V")

_MOST_OWNERS = 4096
_MOST_KEYS = 65536


class Remembered(Generic[V]):
    """Values by owner and key. The owner is held, so that its identity cannot be given to another object."""

    __slots__ = ("_owners",)

    def __init__(self) -> None:
        self._owners: dict[int, tuple[object, dict[Hashable, V]]] = {}

    def get(self, owner: object, key: Hashable, work_out: Callable[..., V], *args: Any) -> V:
        """The value for this owner and key, worked out by work_out(*args) the first time."""
        try:
            return self._owners[id(owner)][1][key]
        except KeyError:
            return self._worked_out(owner, key, work_out, *args)

    def _worked_out(self, owner: object, key: Hashable, work_out: Callable[..., V], *args: Any) -> V:
        entry = self._owners.get(id(owner))
        if entry is None:
            if len(self._owners) >= _MOST_OWNERS:
                self._owners.clear()
            # Another thread may clear all at any time: only what is in hand counts.
            entry = self._owners.setdefault(id(owner), (owner, {}))
        values = entry[1]
        if len(values) >= _MOST_KEYS:
            values.clear()
        value = values[key] = work_out(*args)
        return value
