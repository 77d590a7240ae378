"""How a nominal size is written where a person reads it: `NPS 2` in a US job, `DN 50` in an SI job."""

from functools import cache

from rules.tables import table
from rules.units import SI, US

NPS, DN = "NPS", "DN"


def size_system(units: str) -> str:
    """What sizes are named by in a job of these units: NPS or DN."""
    return NPS if units == US else DN


def size_figure(nps: str, units: str, second_nps: str = "") -> str:
    """A size as it stands under the heading of its system: `2`, `50`, `80 x 20`; `NPS 26` in SI where no DN is known.

    nps         as the tables write it
    second_nps  that of a reducer's or a tee's other end; one alike is not said twice
    """
    return show_size(nps, units, second_nps).removeprefix(f"{size_system(units)} ")


def show_size(nps: str, units: str, second_nps: str = "") -> str:
    """A size with the name of its system: `NPS 3 x 3/4`, `DN 80 x 20`; by NPS where a size has no DN.

    Source  ASME B36.10M: the DN that belongs to an NPS
    """
    both = [nps, second_nps] if second_nps and second_nps != nps else [nps]
    known = dn_by_nps()
    if units == SI and all(one in known for one in both):
        return f"{DN} {' x '.join(str(known[one]) for one in both)}"
    return f"{NPS} {' x '.join(both)}" if nps else ""


def typed_size(nps: str, units: str) -> str:
    """A size as somebody of such a job types it: `2` is an NPS everywhere, so a DN needs its letters: `DN 50`."""
    return show_size(nps, units).removeprefix(f"{NPS} ")


def show_pipe_size(nps: str, schedule: str, units: str, second_nps: str = "") -> str:
    """A size with its schedule or class, as the trade says them: `NPS 2 Sch 80`, `DN 50 x 25 Class 3000`."""
    text = show_size(nps, units, second_nps)
    return f"{text} Sch {schedule}".strip() if schedule[:1].isdigit() else f"{text} {schedule}".strip()


def rating_words(schedule: str, pressure_class: str) -> str:
    """What follows a piece's size: its schedule, or `Class 3000` of a fitting that has none."""
    return schedule or (pressure_class and f"Class {pressure_class}")


def dn_of(nps: str) -> int:
    """The DN of a nominal size that the tables have; raises KeyError for another."""
    return dn_by_nps()[nps]


@cache
def dn_by_nps() -> dict[str, int]:
    """The DN of each nominal size of the pipe table, in its order."""
    return {row["nps"]: int(row["dn"]) for row in table("pipe").rows}
