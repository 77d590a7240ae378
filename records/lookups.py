"""Lookups that the ORM lacks."""

from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django.db.models import ForeignKey, UUIDField
from django.db.models.lookups import In, Lookup


@UUIDField.register_lookup
@ForeignKey.register_lookup
class Among(Lookup):
    """Match any of some thousands of keys, `joint_id__among=keys`.

    The same as `in`, but PostgreSQL gets the keys as one array: written out one by one they cost more than the search.
    """

    lookup_name = "among"

    def get_prep_lookup(self) -> list[UUID]:
        """The keys as they are."""
        keys: Iterable[UUID] = self.rhs
        return list(keys)

    def as_postgresql(self, compiler: Any, connection: Any) -> tuple[str, tuple[Any, ...]]:
        """One array."""
        column, params = self.process_lhs(compiler, connection)
        keys = ",".join([key.hex for key in self.rhs])
        return f"{column} = ANY(%s::uuid[])", (*params, f"{{{keys}}}")

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, Any]:
        """A list, as `in` writes it."""
        return compiler.compile(In(self.lhs, self.rhs))
