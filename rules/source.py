"""Where a figure comes from, and a value that carries its arithmetic and its source."""

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")

STATES = ("checked", "memory", "conflict", "job", "owner", "practice")


@dataclass(frozen=True, slots=True)
class Source:
    """The origin of one figure.

    code     the standard ("ASME B31.3"), or whose word it is ("WPS W-12", "job setting")
    edition  the edition whose number was used, empty where none applies
    clause   paragraph, figure or table; empty rather than invented
    state    checked, memory, conflict (editions or sources differ), job (the crew's own figure), owner (the owner's
             specification), practice (no source)
    note     what must be told with it, for example "looser than ASME B31.3"
    tables   (name, row key) of each table of `rules.tables` that the figure comes from; an empty key is the whole table
    """

    code: str
    edition: str = ""
    clause: str = ""
    state: str = "job"
    note: str = ""
    tables: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        joiner = ", " if self.state == "owner" else " "
        name = joiner.join(
            part for part in (f"{self.code}-{self.edition}" if self.edition else self.code, self.clause) if part
        )
        if name == "common practice":
            return f"{name}, no source"
        notes = {
            "memory": " (from memory)",
            "conflict": " (editions differ)",
            "practice": " (common practice, no source)",
        }
        told = name + notes.get(self.state, "")
        return f"{told}, {self.note}" if self.note else told


@dataclass(frozen=True, slots=True)
class Verdict(Generic[T]):
    """A computed value with the steps that led to it and the source of its figures."""

    value: T
    steps: tuple[str, ...]
    source: Source
    notes: tuple[str, ...] = ()
