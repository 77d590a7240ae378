"""Pipe by nominal size and schedule: outside diameter and wall in both unit systems."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

from rules.nearest import NotAccepted
from rules.source import Source
from rules.tables import basis, table
from rules.units import MM_PER_INCH, US, one_spelling


class UnknownSize(NotAccepted):
    """A size, schedule or class no table has; the message lists the accepted ones, nearest first."""


@dataclass(frozen=True, slots=True)
class Pipe:
    """One row of the pipe table. The metric and the inch figures are both the standard's own."""

    nps: str
    schedule: str
    dn: int
    od_mm: Decimal
    wall_mm: Decimal
    od_in: Decimal
    wall_in: Decimal
    source: Source

    def wall(self, units: str) -> Decimal:
        """The wall in mm by the figure of the job's unit system: a US job is judged by the inch figure."""
        return self.wall_in * MM_PER_INCH if units == US else self.wall_mm

    def od(self, units: str) -> Decimal:
        """The outside diameter in mm by the figure of the job's unit system."""
        return self.od_in * MM_PER_INCH if units == US else self.od_mm


def pipe(nps: str, schedule: str) -> Pipe:
    """The pipe of this size and schedule.

    nps       as parse_nps takes it; schedule "40", "80S", "STD", "XS", "XXS", also "Sch 40"
    Raises    UnknownSize naming the accepted sizes or schedules, nearest first
    Source    ASME B36.10M, ASME B36.19M
    """
    size = parse_nps(nps)
    wanted = parse_schedule(schedule)
    found = _pipes()[size].get(wanted)
    if found is None:
        raise UnknownSize(f'NPS {size} has no schedule "{schedule}"', wanted, _pipes()[size])
    return found


@cache
def parse_nps(text: str) -> str:
    """A nominal size as the tables write it: `1-1/2` from `1-1/2`, `1 1/2"`, `1.5`, `NPS 1-1/2` or `DN 40`.

    Raises    UnknownSize naming the accepted sizes, nearest first
    """
    plain = plain_size(text)
    if dn := re.fullmatch(r"DN\s*([0-9]+)", plain):
        for size, schedules in _pipes().items():
            if next(iter(schedules.values())).dn == int(dn[1]):
                return size
    if plain not in _pipes():
        raise UnknownSize(f'There is no pipe size "{text}"', plain, _pipes(), kind="NPS ")
    return plain


def plain_size(text: str) -> str:
    """A size as the tables write it: `1-1/2` from `1 1/2"`, `1.5` or `NPS 1-1/2`; other texts in capitals."""
    plain = one_spelling(text).rstrip('"').strip().upper()
    if plain.startswith("DN"):
        return plain
    plain = re.sub(r"^NPS\s*|\s*IN(CH)?\.?$", "", plain)
    plain = re.sub(r"\s*([-/])\s*", r"\1", plain).replace(" ", "-")
    if not re.fullmatch(r"[0-9]*\.[0-9]+", plain):
        return plain
    whole, part = divmod(Fraction(plain), 1)
    if not part or part.denominator not in (2, 4, 8):
        return format(Decimal(plain).normalize(), "f")
    return f"{whole}-{part}" if whole else str(part)


def parse_schedule(text: str) -> str:
    """A schedule as the table writes it; an unknown one comes back as typed in capitals."""
    plain = re.sub(r"^(SCHEDULE|SCH)\.?\s*", "", text.strip().upper())
    return {"XH": "XS", "XXH": "XXS", "40 STD": "40", "S40": "40", "S80": "80", "S160": "160"}.get(plain, plain)


def dn_of(nps: str) -> int:
    """The DN of a nominal size that the tables have."""
    return next(iter(_pipes()[nps].values())).dn


@cache
def sizes() -> dict[str, tuple[str, ...]]:
    """The schedules that each nominal size of the tables has, in their order."""
    return {size: tuple(schedules) for size, schedules in _pipes().items()}


def parse_class(text: str) -> str:
    """The class of a fitting as the table writes it: `3000` from `Class 3000` or `3000#`."""
    return re.sub(r"^(CLASS|CL)\.?\s*", "", text.strip().upper()).removesuffix("#").strip()


@cache
def _pipes() -> dict[str, dict[str, Pipe]]:
    sizes: dict[str, dict[str, Pipe]] = {}
    for row in table("pipe").rows:
        sizes.setdefault(row["nps"], {})[row["schedule"]] = Pipe(
            nps=row["nps"],
            schedule=row["schedule"],
            dn=int(row["dn"]),
            od_mm=Decimal(row["od_mm"]),
            wall_mm=Decimal(row["wall_mm"]),
            od_in=Decimal(row["od_in"]),
            wall_in=Decimal(row["wall_in"]),
            source=Source(
                row["standard"],
                "2018",
                f"NPS {row['nps']} Schedule {row['schedule']}",
                row["state"],
                tables=(basis("pipe", row),),
            ),
        )
    return sizes
