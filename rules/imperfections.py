"""An imperfection as measured against the criterion of the acceptance table."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from rules.acceptance import LIMITS, NOTE_5, depth_limit, row_of
from rules.tables import given, length_of, table
from rules.units import SI, show_length


@dataclass(frozen=True, slots=True)
class Judgement:
    """The limit in mm (None where the criterion has none of this kind), and the verdict on what was measured.

    undecided   why there is no verdict, and who gives it; empty where the criterion decides
    """

    limit_mm: Decimal | None
    accepted: bool | None
    steps: tuple[str, ...]
    notes: tuple[str, ...] = ()
    undecided: str = ""


CHARTS = (
    "Number, spacing and pattern go by the charts of Appendix 4, which are not in these tables: the examiner decides "
    "them on the film."
)
NO_SIZE = "No size was given that the criterion could judge."


def judge(
    symbol: str,
    kind: str,
    wall_mm: Decimal,
    units: str = SI,
    *,
    measured: Decimal | None = None,
    length: Decimal | None = None,
    width: Decimal | None = None,
    cumulative: Decimal | None = None,
) -> Judgement:
    """Hold a measurement against a criterion; what is not given is not judged.

    symbol      letter of the table, empty: not evaluated
    measured    depth, height or diameter, or for a concave root the total thickness with reinforcement
    length      of one indication; for B and C it counts as cumulative too
    cumulative  length of all indications together within the length that the criterion names
    Source      ASME B31.3 Table 341.3.2, Table K341.3.2
    """
    found = _judged(symbol, kind, wall_mm, units, measured, length, width, cumulative)
    return found if found.accepted is not None or found.undecided else replace(found, undecided=NO_SIZE)


def _judged(
    symbol: str,
    kind: str,
    wall_mm: Decimal,
    units: str,
    measured: Decimal | None,
    length: Decimal | None,
    width: Decimal | None,
    cumulative: Decimal | None,
) -> Judgement:
    if not symbol:
        told = "The table has no criterion for this in such a weld: the examiner weighs what is seen."
        return Judgement(None, None, ("the table does not evaluate this",), undecided=told)
    if symbol in ("F", "G", "KC"):
        return _linear(symbol, wall_mm, units, measured if length is None else length, width, cumulative)
    if symbol == "K":
        step = f"criterion K: thickness with reinforcement at least Tw = {show_length(wall_mm, units)}"
        return Judgement(wall_mm, None if measured is None else measured >= wall_mm, (step,))
    if symbol in ("D", "E"):
        return _rounded(symbol, wall_mm, units, measured)
    if symbol in ("J", "KE"):
        return _finish(symbol, wall_mm, units)
    if kind == "surface-porosity" and row_of(LIMITS, NOTE_5, wall_mm, units) is None:
        return _thick(units)
    limit, steps = depth_limit(symbol, wall_mm, units)
    return _depth(symbol, limit, steps, units, wall_mm, measured, length if cumulative is None else cumulative)


def _depth(
    symbol: str,
    limit: Decimal | None,
    steps: tuple[str, ...],
    units: str,
    wall: Decimal,
    measured: Decimal | None,
    cumulative: Decimal | None,
) -> Judgement:
    row = row_of(LIMITS, symbol, wall, units) or {}
    verdicts = [] if measured is None or limit is None else [measured <= limit]
    notes: tuple[str, ...] = ()
    if (most := length_of(row, "length", units)) is not None:
        steps = (*steps, f"cumulative length at most {show_length(most, units)} in any {_per(row, units)}")
        verdicts += [] if cumulative is None else [cumulative <= most]
    elif (later := length_of(row, "later_length", units)) is not None:
        over = "" if cumulative is None else f": this one is {'within' if cumulative <= later else 'over'}"
        notes = (f"Later editions add a cumulative length of {show_length(later, units)} in {_per(row, units)}{over}.",)
    return Judgement(limit, all(verdicts) if verdicts else None, steps, notes)


def _linear(
    symbol: str, wall: Decimal, units: str, length: Decimal | None, width: Decimal | None, cumulative: Decimal | None
) -> Judgement:
    row = row_of("linear_indications_b31_3", symbol, wall, units)
    assert row is not None
    most, wide = _least_of(row, "length", wall, units), _least_of(row, "width", wall, units)
    assert most is not None
    total = _shared(row["cumulative_share"], wall)
    told = f"length at most {_term(row, 'length', units)}"
    if row["length_share"]:
        told += f" = {show_length(_short(most), units)}"
    if wide is not None:
        told += f", width at most {show_length(_short(wide), units)}"
    per = (
        _per(row, units)
        if row["per_mm"]
        else f"{row['per_share']} Tw ({show_length(_shared(row['per_share'], wall), units)})"
    )
    many = f"cumulative at most {row['cumulative_share']} Tw = {show_length(total, units)} in any {per}"
    pairs = ((length, most), (width, wide), (cumulative, total))
    verdicts = [value <= bound for value, bound in pairs if value is not None and bound is not None]
    return Judgement(most, all(verdicts) if verdicts else None, (f"criterion {symbol[-1]}: {told}", many))


def _finish(symbol: str, wall: Decimal, units: str) -> Judgement:
    row = row_of(LIMITS, symbol, wall, units)
    assert row is not None
    step = f"surface roughness at most {row['roughness_um']} um ({row['roughness_uin']} uin) Ra, ASME B46.1"
    return Judgement(None, None, (step,), undecided="No roughness is taken here: the examiner compares the finish.")


def _thick(units: str) -> Judgement:
    row = next(row for row in table(LIMITS).rows if row["letter"] == NOTE_5)
    most = show_length(given(length_of(row, "wall_to", units)), units)
    told = f"The table judges it only in a weld of at most {most} (note 5): in this one the examiner does."
    return Judgement(None, None, (f"judged only where the weld is at most {most} thick (note 5)",), undecided=told)


def _rounded(symbol: str, wall: Decimal, units: str, diameter: Decimal | None) -> Judgement:
    """The size of one rounded indication; number and spacing go by charts, so that a size within accepts nothing."""
    row = row_of("rounded_indications_viii_4", "", wall, units)
    assert row is not None
    factor = Decimal(row["e_factor"]) if symbol == "E" else Decimal(1)
    relevant = given(_least_of(row, "relevant", wall, units))
    random, isolated = (given(_least_of(row, name, wall, units, factor)) for name in ("random", "isolated"))
    shown = [show_length(_short(one), units) for one in (relevant, random, isolated)]
    times = f"{row['e_factor']} x for criterion E at this wall: " if factor != 1 else ""
    steps = (
        f"criterion {symbol}: rounded indications by BPVC Section VIII Division 1 Appendix 4",
        f"{times}one of random indications at most {shown[1]}, an isolated one at most {shown[2]}",
    )
    notes = (f"Relevant over {shown[0]}; sizes from memory. One over {shown[2]} is rejected here.",)
    if diameter is not None and diameter > isolated:
        return Judgement(isolated, False, steps, notes)
    return Judgement(isolated, None, steps, notes, _open(diameter, relevant, random, *shown))


def _open(diameter: Decimal | None, relevant: Decimal, random: Decimal, *shown: str) -> str:
    """What the size of one rounded indication says, and that the rest is not decided by it."""
    if diameter is None:
        return CHARTS
    if diameter <= relevant:
        return f"One of this size, not over {shown[0]}, is not relevant. {CHARTS}"
    if diameter <= random:
        return f"Its size is within the {shown[1]} of random ones. {CHARTS}"
    return f"Its size is over the {shown[1]} of random ones and stands only if it is isolated. {CHARTS}"


def _least_of(
    row: Mapping[str, str], name: str, wall: Decimal, units: str, times: Decimal = Decimal(1)
) -> Decimal | None:
    """So many times the lesser of a share of the wall and a flat figure, whichever the row gives."""
    parts = [_shared(row[f"{name}_share"], times * wall)] if row[f"{name}_share"] else []
    flat = length_of(row, name, units)
    parts += [] if flat is None else [times * flat]
    return min(parts) if parts else None


def _term(row: Mapping[str, str], name: str, units: str) -> str:
    flat = length_of(row, name, units)
    parts = [f"{row[f'{name}_share']} Tw"] if row[f"{name}_share"] else []
    return " and ".join(parts + ([] if flat is None else [show_length(flat, units)]))


def _per(row: Mapping[str, str], units: str) -> str:
    per = length_of(row, "per", units)
    return show_length(per, units) if per is not None else ""


def _shared(share: str, length: Decimal) -> Decimal:
    """A share of a length, exact where a decimal can be: a third of 9 mm is 3 mm."""
    part = Fraction(share)
    return length * part.numerator / part.denominator


def _short(mm: Decimal) -> Decimal:
    return mm.quantize(Decimal("0.001"))
