"""Nominal pipe sizes as numbers, to order and add them."""

from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from rules.nearest import as_number
from rules.pipe import UnknownSize, parse_nps, plain_size
from rules.size_words import show_size
from rules.source import Source, Verdict
from rules.units import US, UnitError


@lru_cache(maxsize=4096)
def nps_number(text: str) -> Fraction:
    """Return a nominal pipe size in inches: "1-1/2" is 3/2, "DN 40" too; sizes beyond the pipe table are read as well.

    Raises UnitError for a text that is no nominal pipe size.
    """
    try:
        size = parse_nps(text)
    except UnknownSize as unknown:
        size = plain_size(text)
        if not as_number(size):
            raise UnitError(
                f"{text!r} is no nominal pipe size; accepted are sizes such as 3/4, 1-1/2, 6 and DN 50."
            ) from unknown
    number = as_number(size)
    assert number is not None
    return number


def diameter_inches(joints: Iterable[tuple[str, int]], units: str = US) -> Verdict[Fraction]:
    """The trade's measure of quantity: NPS summed over joints.

    joints    size and number of joints of it
    units     of the job: in SI each step names the DN beside the NPS that is counted
    Raises    UnitError for a size that can't be read, ValueError for a negative number of joints
    Source    common practice
    """
    total, steps = Fraction(0), []
    for size, count in joints:
        if count < 0:
            raise ValueError(
                f"{count} joints of {_named(size, units)} are not possible; accepted are whole numbers from 0."
            )
        inches = count * nps_number(size)
        total += inches
        steps.append(f"{count} x {_named(size, units)} = {inches_shown(inches)}")
    steps.append(f"together {inches_shown(total)} diameter-inches")
    return Verdict(total, tuple(steps), Source("common practice", state="practice"))


def _named(size: str, units: str) -> str:
    """A size as the table of pipe names it, also where it was given as DN; one beyond the table as it is."""
    try:
        nps = parse_nps(size)
    except UnknownSize:
        nps = plain_size(size)
    shown = show_size(nps, units)
    return shown if shown == f"NPS {nps}" else f"{shown} (NPS {nps})"


def inches_explained(units: str) -> str:
    """What diameter-inches count, for a job whose sizes are DN; nothing where they are the sizes as they stand."""
    if units == US:
        return ""
    return "Diameter-inches are the joints’ NPS in inches, added up: a joint DN 50 (NPS 2) counts 2."


def inches_shown(inches: Fraction) -> str:
    """Diameter-inches as they are read: 12, or 12.25."""
    return f"{float(inches):,.2f}".rstrip("0").rstrip(".")


def is_within_sizes(nps: str, least: str, greatest: str) -> bool:
    """Whether a size lies between two others, both included; an empty bound is open."""
    size = nps_number(nps)
    return not ((least and size < nps_number(least)) or (greatest and size > nps_number(greatest)))
