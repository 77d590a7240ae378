"""What somebody asks a list for, as an address says it."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Self

from records.paging import clean


@dataclass(frozen=True, slots=True)
class Asking:
    """The filters of a list, each a text field; an empty one asks for everything."""

    @classmethod
    def read(cls, query: Mapping[str, str]) -> Self:
        """Read the filters from an address."""
        return cls(**{one.name: clean(query.get(one.name)) for one in fields(cls)})

    def given(self) -> dict[str, str]:
        """The fields that ask for something, in order."""
        return {one.name: getattr(self, one.name) for one in fields(self) if getattr(self, one.name)}
