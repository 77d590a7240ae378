"""An imperfection as measured against the criterion of the acceptance table."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from rules.acceptance import LIMITS, depth_limit, row_of
from rules.tables import length_of
from rules.units import SI, show_length


@dataclass(frozen=True, slots=True)
class Judgement:
    """The limit in mm (None where the criterion has none of this kind), and the verdict on what was measured."""

    limit_mm: Decimal | None
    accepted: bool | None
    steps: tuple[str, ...]
    notes: tuple[str, ...] = ()


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
    if not symbol:
        return Judgement(None, None, ("the table does not evaluate this",))
    if symbol in ("F", "G", "KC"):
        return _linear(symbol, wall_mm, units, measured if length is None else length, width, cumulative)
    if symbol == "K":
        step = f"criterion K: thickness with reinforcement at least Tw = {show_length(wall_mm, units)}"
        return Judgement(wall_mm, None if measured is None else measured >= wall_mm, (step,))
    if symbol in ("D", "E"):
        return _rounded(symbol, wall_mm, units, measured)
    if symbol in ("J", "KE"):
        return Judgement(None, None, ("surface roughness at most 12.5 um (500 uin) Ra, ASME B46.1",))
    if kind == "surface-porosity" and row_of(LIMITS, "A note 5", wall_mm, units) is None:
        return Judgement(None, None, ("judged only where the weld is at most 5 mm thick (note 5)",))
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
    total = _share(row["cumulative_share"]) * wall
    told = f"length at most {_term(row, 'length', units)}"
    if row["length_share"]:
        told += f" = {show_length(_short(most), units)}"
    if wide is not None:
        told += f", width at most {show_length(_short(wide), units)}"
    per = (
        _per(row, units)
        if row["per_mm"]
        else f"{row['per_share']} Tw ({show_length(_share(row['per_share']) * wall, units)})"
    )
    many = f"cumulative at most {row['cumulative_share']} Tw = {show_length(total, units)} in any {per}"
    pairs = ((length, most), (width, wide), (cumulative, total))
    verdicts = [value <= bound for value, bound in pairs if value is not None and bound is not None]
    return Judgement(most, all(verdicts) if verdicts else None, (f"criterion {symbol[-1]}: {told}", many))


def _rounded(symbol: str, wall: Decimal, units: str, diameter: Decimal | None) -> Judgement:
    """The size of one rounded indication; number and spacing go by charts, so that a size within accepts nothing."""
    row = row_of("rounded_indications_viii_4", "", wall, units)
    assert row is not None
    factor = Decimal("1.5") if symbol == "E" and row["wall_over_mm"] not in ("", "3") else Decimal(1)
    relevant = _least_of(row, "relevant", wall, units)
    random, isolated = (_least_of(row, name, wall, units) for name in ("random", "isolated"))
    assert relevant is not None and random is not None and isolated is not None
    steps = [f"criterion {symbol}: rounded indications by BPVC Section VIII Division 1 Appendix 4"]
    times = "1.5 x over 6 mm: " if factor != 1 else ""
    shown = [show_length(_short(factor * one), units) for one in (random, isolated)]
    steps.append(f"{times}one of random indications at most {shown[0]}, an isolated one at most {shown[1]}")
    notes = [
        f"Relevant over {show_length(_short(relevant), units)}; sizes from memory. Number and spacing go by the charts."
    ]
    rejected = diameter is not None and diameter > factor * isolated
    return Judgement(None, False if rejected else None, tuple(steps), tuple(notes))


def _least_of(row: Mapping[str, str], name: str, wall: Decimal, units: str) -> Decimal | None:
    """The lesser of a share of the wall and a flat figure, whichever the row gives."""
    parts = [_share(row[f"{name}_share"]) * wall] if row[f"{name}_share"] else []
    flat = length_of(row, name, units)
    parts += [] if flat is None else [flat]
    return min(parts) if parts else None


def _term(row: Mapping[str, str], name: str, units: str) -> str:
    flat = length_of(row, name, units)
    parts = [f"{row[f'{name}_share']} Tw"] if row[f"{name}_share"] else []
    return " and ".join(parts + ([] if flat is None else [show_length(flat, units)]))


def _per(row: Mapping[str, str], units: str) -> str:
    per = length_of(row, "per", units)
    return show_length(per, units) if per is not None else ""


def _share(text: str) -> Decimal:
    share = Fraction(text)
    return Decimal(share.numerator) / Decimal(share.denominator)


def _short(mm: Decimal) -> Decimal:
    return mm.quantize(Decimal("0.001"))
