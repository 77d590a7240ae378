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
        held = self._owners.get(id(owner))
        if held is None:
            if len(self._owners) >= _MOST_OWNERS:
                self._owners.clear()
            held = self._owners[id(owner)] = (owner, {})
        values = held[1]
        try:
            return values[key]
        except KeyError:
            if len(values) >= _MOST_KEYS:
                values.clear()
            value = values[key] = work_out(*args)
            return value
