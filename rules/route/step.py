"""One step of a route as it was read, and as it is written again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from rules.route.grammar import ITEMS


@dataclass(frozen=True, slots=True)
class Move:
    """So far in one direction; no length in a run fitting to fitting."""

    direction: str
    length_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """A point, or the coordinates of it that were given."""

    east: Decimal | None = None
    north: Decimal | None = None
    up: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what its clauses say, by the names of their columns.

    line     of the text, from 1           texts    each clause's value as it was typed, by column
    columns  where each value stands, from 1; the item itself under ""
    note     what follows a semicolon
    """

    item: str
    line: int
    along: tuple[Move, ...] = ()
    length_mm: Decimal | None = None
    nps: str = ""
    schedule: str = ""
    rating: str = ""
    degrees: Decimal | None = None
    kind: str = ""
    place: Place | None = None
    name: str = ""
    weight_kg: Decimal | None = None
    is_welded: bool = False
    note: str = ""
    texts: Mapping[str, str] = field(default_factory=dict)
    columns: Mapping[str, int] = field(default_factory=dict)


def placed(item: str, texts: Mapping[str, str]) -> tuple[str, dict[str, int]]:
    """A step as a line of text, and where each clause begins in it, from 1, by its column; the item under ""."""
    line, starts = item, {"": 1}
    for one in ITEMS[item].clauses if item in ITEMS else ():
        if text := texts.get(one.column):
            line += f" {one.lead}" if one.lead else ""
            starts[one.column] = len(line) + 2
            line += f" {text}"
    return line, starts


def written(item: str, texts: Mapping[str, str], note: str = "") -> str:
    """A step as a line of text: `elbow 90 ; as built`."""
    line, _ = placed(item, texts)
    return f"{line} ; {note}".strip() if note else line


def route_text(steps: Sequence[Step]) -> str:
    """All steps as text, one a line, branches indented."""
    lines, depth = [], 0
    for step in steps:
        depth -= step.item == "end branch" and depth > 0
        lines.append("  " * depth + written(step.item, step.texts, step.note))
        depth += step.item == "branch"
    return "\n".join(lines) + "\n" if lines else ""
