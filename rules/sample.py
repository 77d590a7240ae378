"""How large a sample must be, and its division so that every welder, or every type of weld by each, has one in it."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from rules.extent import counted_welds
from rules.nearest import NotAccepted
from rules.source import Source

WELDER, TYPE = "welder", "type"
Group = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sample:
    """A sample's size and how many of each group it takes; a group is a welder, or a welder with a type of weld."""

    size: int
    of: Mapping[Group, int]
    steps: tuple[str, ...]
    source: Source


def sample(percent: Decimal, welds: Mapping[tuple[str, str], int], each: str = WELDER) -> Sample:
    """The least sample of a lot in which each group is represented.

    welds     number of welds by welder and type of weld
    each      welder: every welder has one; type: every type of weld by each welder has one
    Raises    ValueError for a share outside 0 to 100, a negative number of welds, or another grouping
    Source    ASME B31.3 341.4.1: not less than the share, each welder represented; newer text of 341.4.1(a)(2) has each
              type of weld by each welder (from memory); rounding up and dividing by size are conventions
    """
    if each not in (WELDER, TYPE):
        raise NotAccepted(f'There is no grouping by "{each}"', each, (WELDER, TYPE))
    if not 0 <= percent <= 100 or any(count < 0 for count in welds.values()):
        raise ValueError("A share lies between 0 and 100 %, and a number of welds cannot be negative.")
    groups: dict[Group, int] = {}
    for (welder, kind), count in welds.items():
        group = (welder, kind) if each == TYPE else (welder,)
        groups[group] = groups.get(group, 0) + count
    groups = {group: count for group, count in groups.items() if count}
    total = sum(groups.values())
    least = int((percent * total / 100).to_integral_value(ROUND_CEILING))
    size = max(least, len(groups)) if percent else 0
    many = len(groups) != 1
    of_each = f"welder{'s' if many else ''}" if each == WELDER else f"type{'s' if many else ''} of weld by each welder"
    steps = (
        f"{percent:f} % of {counted_welds(total)}, rounded up = {least}",
        f"one for each of {len(groups)} {of_each}: {size}",
    )
    state = "checked" if each == WELDER else "memory"
    return Sample(size, _divided(size, groups), steps, Source("ASME B31.3", "", "341.4.1", state))


def _divided(size: int, groups: Mapping[Group, int]) -> dict[Group, int]:
    """One for each group, the rest where most welds stand for each one examined; never over a group's number."""
    taken = dict.fromkeys(groups, 1 if size else 0)
    for _ in range(size - sum(taken.values())):
        open_groups = [group for group in groups if taken[group] < groups[group]]
        most = max(open_groups, key=lambda group: Decimal(groups[group]) / taken[group])
        taken[most] += 1
    return taken
