"""Pipe by nominal size and schedule: outside diameter and wall in both unit systems."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache, lru_cache

from rules.nearest import NotAccepted, nearest
from rules.size_words import dn_by_nps, show_size
from rules.source import Source
from rules.tables import basis, table
from rules.units import LONGEST, MM_PER_INCH, SI, US, one_spelling


class UnknownSize(NotAccepted):
    """A size, schedule or class no table has; the message lists the accepted ones, nearest first."""


_GREATEST_NPS = 24  # a whole number beyond it was meant as a DN


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


def pipe(nps: str, schedule: str, units: str = US) -> Pipe:
    """The pipe of this size and schedule.

    nps       as parse_nps takes it; schedule "40", "80S", "STD", "XS", "XXS", also "Sch 40"
    units     of the job: a refusal names sizes by them
    Raises    UnknownSize naming the accepted sizes or schedules, nearest first
    Source    ASME B36.10M, ASME B36.19M
    """
    size = parse_nps(nps, units)
    wanted = parse_schedule(schedule)
    found = _pipes()[size].get(wanted)
    if found is None:
        raise UnknownSize(f'{show_size(size, units)} has no schedule "{schedule}"', wanted, _pipes()[size])
    return found


@lru_cache(maxsize=4096)
def parse_nps(text: str, units: str = US) -> str:
    """A nominal size as the tables write it: `1-1/2` from `1-1/2`, `1 1/2"`, `1.5`, `NPS 1-1/2` or `DN 40`.

    A size without the name of its system is an NPS in every job.
    units     of the job: an SI job is told the accepted sizes as DN, and so is whoever wrote a DN
    Raises    UnknownSize naming the accepted sizes, nearest first
    """
    plain = plain_size(text)
    size = _nps_of_dn().get(plain, plain)
    if size in _pipes():
        return size
    said, dn = f'There is no pipe size "{text}"', plain.removeprefix("DN ")
    if dn != plain or (units == SI and plain.isdecimal() and (len(plain) > 9 or int(plain) > _GREATEST_NPS)):
        known = map(str, dn_by_nps().values())
        raise UnknownSize(said, "", (f"DN {one}" for one in nearest(dn, known)))
    if units == SI:
        raise UnknownSize(said, "", (show_size(one, SI) for one in nearest(plain, _pipes())))
    raise UnknownSize(said, plain, _pipes(), kind="NPS ")


def not_made(what: str, size: str, known: Iterable[str], units: str) -> UnknownSize:
    """The refusal of a thing that its table has not in this size, with the sizes it has, nearest first."""
    said = f"There is no {what} {show_size(size, units)}"
    if units != SI:
        return UnknownSize(said, size, known, kind="NPS ")
    return UnknownSize(said, "", (show_size(one, units) for one in nearest(size, known)))


def plain_size(text: str) -> str:
    """A size as the tables write it: `1-1/2` from `1 1/2"`, `1.5` or `NPS 1-1/2`; `DN 40` from `DN40` or `40 DN`.

    Other texts come back in capitals.
    """
    if len(text) > LONGEST:
        return text.strip().upper()
    plain = one_spelling(text).rstrip('"').strip().upper()
    if dn := re.fullmatch(r"DN\s*([0-9]+)|([0-9]+)\s*DN", plain):
        return f"DN {dn[1] or dn[2]}"
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


@cache
def sizes() -> dict[str, tuple[str, ...]]:
    """The schedules that each nominal size of the tables has, in their order."""
    return {size: tuple(schedules) for size, schedules in _pipes().items()}


def parse_class(text: str) -> str:
    """The class of a fitting as the table writes it: `3000` from `Class 3000` or `3000#`."""
    return re.sub(r"^(CLASS|CL)\.?\s*", "", text.strip().upper()).removesuffix("#").strip()


@cache
def _nps_of_dn() -> dict[str, str]:
    return {f"DN {dn}": nps for nps, dn in dn_by_nps().items()}


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
