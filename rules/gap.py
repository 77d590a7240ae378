"""The gap in a socket before welding: the code's figure, the procedure's, the owner's, and which one a job uses."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from rules.source import Source
from rules.tables import basis, length_of, table
from rules.units import SI, show_length

CODE, PROCEDURE, OWNER = "code", "procedure", "owner"
PLACES = ("fitting", "flange")


@dataclass(frozen=True, slots=True)
class GapFigure:
    """One party's word on the gap: limits of a procedure or owner, or a code's approximate figure.

    about_mm   the code's figure: a mark to aim at, by which nothing is judged
    """

    whose: str
    source: Source
    least_mm: Decimal | None = None
    greatest_mm: Decimal | None = None
    about_mm: Decimal | None = None


@dataclass(frozen=True, slots=True)
class GapVerdict:
    """The figure a job uses, all figures that are known, and whether a measured gap lies within; None: not judged."""

    used: GapFigure
    figures: tuple[GapFigure, ...]
    accepted: bool | None
    steps: tuple[str, ...]
    notes: tuple[str, ...]


def code_gap(code: str = "B31.3", at: str = "fitting", units: str = SI) -> GapFigure:
    """The code's figure before welding; it sets none for the gap after welding.

    at        fitting or flange
    Raises    ValueError naming the accepted codes and places
    Source    ASME B31.3 Fig. 328.5.2C (fitting), Fig. 328.5.2B (flange); ASME B31.1 127.3(E)
    """
    rows = table("gap_before_welding").rows
    row = next((one for one in rows if (one["code"], one["at"]) == (code, at)), None)
    if row is None:
        codes = ", ".join(dict.fromkeys(one["code"] for one in rows))
        raise ValueError(f'No gap of "{code}" at a "{at}" is known; accepted are {codes} at {" or ".join(PLACES)}.')
    about = length_of(row, "about", units)
    source = Source(f"ASME {code}", "", row["clause"], row["state"], tables=(basis("gap_before_welding", row),))
    return GapFigure(CODE, source, about_mm=about)


def judge_gap(
    code: GapFigure, others: Sequence[GapFigure], measured_mm: Decimal | None = None, units: str = SI
) -> GapVerdict:
    """Which figure a job uses, and whether a gap lies within it.

    others    limits of the procedure and of the owner's specification, in any order, each with at least one bound
    Raises    ValueError for limits without a bound, or a least over a greatest
    Source    the owner's limits come before the procedure's, which holds for a bound that the owner leaves open; with
              neither, the code's figure stands and judges nothing
    """
    for one in others:
        _sound(one, units)
    ranked = sorted(others, key=lambda one: one.whose != OWNER)
    named = ranked[0] if ranked else code
    used = _completed(named, ranked[1:])
    written = (*ranked, code)
    steps = [f"{one.source}: {shown(one, units)}{' - used' if one is named else ''}" for one in written]
    notes = ["No code limits the gap after welding."]
    if used is not named:
        notes.insert(0, f"A bound that {named.source} leaves open is that of {ranked[1].source}.")
    if named is code:
        notes.insert(
            0, "The code's figure is approximate: nothing is judged by it. Limits come from procedure or owner."
        )
        return GapVerdict(used, written, None, tuple(steps), tuple(notes))
    if _is_apart(used, code):
        notes.insert(
            0, f"The code's figure, {shown(code, units)}, lies outside the limits used: the engineer's decision."
        )
    if measured_mm is None:
        return GapVerdict(used, written, None, tuple(steps), tuple(notes))
    steps.append(f"measured {show_length(measured_mm, units)}: {_told(used, measured_mm, units)}")
    return GapVerdict(used, written, is_within(used, measured_mm), tuple(steps), tuple(notes))


def is_within(figure: GapFigure, gap_mm: Decimal) -> bool:
    """Whether a gap lies within limits, both ends included."""
    return (figure.least_mm is None or gap_mm >= figure.least_mm) and (
        figure.greatest_mm is None or gap_mm <= figure.greatest_mm
    )


def shown(figure: GapFigure, units: str) -> str:
    """A figure as a person reads it: `1/16 in to 1/8 in`, `about 1/16 in`."""
    if figure.about_mm is not None:
        return f"about {show_length(figure.about_mm, units)}"
    least, greatest = ("" if one is None else show_length(one, units) for one in (figure.least_mm, figure.greatest_mm))
    if least and greatest:
        return f"{least} to {greatest}"
    return f"at least {least}" if least else f"at most {greatest}"


def _completed(named: GapFigure, others: Sequence[GapFigure]) -> GapFigure:
    """The figure with the bounds that it leaves open from the next that has them; itself where that adds nothing."""
    found = named
    for one in others:
        if found.least_mm is None and one.least_mm is not None:
            found = replace(found, least_mm=one.least_mm)
        if found.greatest_mm is None and one.greatest_mm is not None:
            found = replace(found, greatest_mm=one.greatest_mm)
    return found


def _sound(figure: GapFigure, units: str) -> None:
    least, greatest = figure.least_mm, figure.greatest_mm
    if least is None and greatest is None:
        raise ValueError(f"The limits of the {figure.whose} have no bound; accepted are a least, a greatest, or both.")
    if least is not None and greatest is not None and least > greatest:
        over = f"{show_length(least, units)} is over the greatest {show_length(greatest, units)}"
        raise ValueError(f"The least gap of the {figure.whose} {over}.")


def _is_apart(used: GapFigure, code: GapFigure) -> bool:
    return code.about_mm is not None and not is_within(used, code.about_mm)


def _told(used: GapFigure, gap: Decimal, units: str) -> str:
    if used.least_mm is not None and gap < used.least_mm:
        return f"{show_length(used.least_mm - gap, units)} too little"
    if used.greatest_mm is not None and gap > used.greatest_mm:
        return f"{show_length(gap - used.greatest_mm, units)} too much"
    return "within"
