"""Where a figure comes from, and a value that carries its arithmetic and its source."""

from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")

STATES = ("checked", "memory", "conflict", "job", "practice")


@dataclass(frozen=True, slots=True)
class Source:
    """The origin of one figure.

    code     the standard ("ASME B31.3"), or whose word it is ("WPS W-12", "job setting")
    edition  the edition whose number was used, empty where none applies
    clause   paragraph, figure or table; empty rather than invented
    state    checked, memory, conflict (editions or sources differ), job (the crew's own figure), practice (no source)
    """

    code: str
    edition: str = ""
    clause: str = ""
    state: str = "job"

    def __str__(self) -> str:
        name = " ".join(
            part for part in (f"{self.code}-{self.edition}" if self.edition else self.code, self.clause) if part
        )
        if name == "common practice":
            return f"{name}, no source"
        notes = {
            "memory": " (from memory)",
            "conflict": " (editions differ)",
            "practice": " (common practice, no source)",
        }
        return name + notes.get(self.state, "")


@dataclass(frozen=True, slots=True)
class Verdict(Generic[T]):
    """A computed value with the steps that led to it and the source of its figures."""

    value: T
    steps: tuple[str, ...]
    source: Source
    notes: tuple[str, ...] = ()
