"""Lookups that the ORM lacks."""

from collections.abc import Iterable, Iterator
from functools import cached_property
from typing import Any
from uuid import UUID

from django.db.models import ForeignKey, UUIDField
from django.db.models.lookups import In, Lookup


class Keys:
    """Some thousands of keys that several queries look for; what each query needs of them is made once."""

    def __init__(self, keys: Iterable[UUID]) -> None:
        self._keys = tuple(keys)

    def __iter__(self) -> Iterator[UUID]:
        return iter(self._keys)

    @cached_property
    def array(self) -> str:
        """The keys as PostgreSQL writes an array."""
        return "{" + ",".join([key.hex for key in self._keys]) + "}"


@UUIDField.register_lookup
@ForeignKey.register_lookup
class Among(Lookup):
    """Match any of some thousands of keys, `joint_id__among=Keys(joint_ids)`.

    The same as `in`, but PostgreSQL gets the keys as one array: written out one by one they cost more than the search.
    """

    lookup_name = "among"
    rhs: Keys

    def get_prep_lookup(self) -> Keys:
        """The keys as they are."""
        return self.rhs

    def as_postgresql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        """One array."""
        column, params = self.process_lhs(compiler, connection)
        return f"{column} = ANY(%s::uuid[])", (*params, self.rhs.array)

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        """A list, as `in` writes it."""
        return compiler.compile(In(self.lhs, list(self.rhs)))
