"""Indications of penetrant and magnetic-particle examination against their acceptance."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from rules.imperfections import NO_SIZE, Judgement
from rules.nearest import NotAccepted
from rules.source import Source, Verdict
from rules.tables import basis, given, length_of, table
from rules.units import SI, show_length

METHODS = ("PT", "MT")
_LINEAR = frozenset(("linear", "lack-of-fusion", "incomplete-penetration"))
_ROUNDED = frozenset(("porosity", "surface-porosity"))
IN_LINE = "Four or more in a line are rejected too, which one size does not tell: the examiner decides."


@dataclass(frozen=True, slots=True)
class Surface:
    """What an examination by penetrant or magnetic particles showed.

    rounded, linear   greatest dimension of each indication in mm
    in_line           most rounded indications in one line, edge to edge at most `apart_mm`
    """

    rounded: Sequence[Decimal] = ()
    linear: Sequence[Decimal] = ()
    in_line: int = 0
    apart_mm: Decimal | None = None


def judge_surface(method: str, seen: Surface, units: str = SI) -> Verdict[tuple[str, ...]]:
    """Every reason to reject; none: accepted.

    method    PT or MT
    Raises    ValueError naming the accepted methods, or for a negative dimension
    Source    ASME B31.3 344.4.2 (PT), 344.3.2 (MT): relevant linear indications, rounded ones over 5 mm (3/16 in), four
              or more in a line with edges 1.5 mm (1/16 in) apart or less
    """
    rows = {row["method"]: row for row in table("surface_acceptance_b31_3").rows}
    if method not in rows:
        raise NotAccepted(f'There is no surface examination "{method}"', method, rows)
    if any(one < 0 for one in (*seen.rounded, *seen.linear)) or seen.in_line < 0:
        raise ValueError("An indication cannot be negative; accepted are lengths and numbers from 0.")
    row = rows[method]
    relevant, most, apart = (given(length_of(row, name, units)) for name in ("relevant_over", "rounded_most", "apart"))
    against = [f"linear indication {show_length(one, units)} is relevant" for one in seen.linear if one > relevant]
    against += [
        f"rounded indication {show_length(one, units)} is over {show_length(most, units)}"
        for one in seen.rounded
        if one > most
    ]
    least = int(row["in_line"])
    near = seen.apart_mm is None or seen.apart_mm <= apart
    if seen.in_line >= least and near:
        against.append(f"{seen.in_line} rounded indications in a line, {show_length(apart, units)} apart or less")
    passed = sum(one <= relevant for one in (*seen.linear, *seen.rounded))
    steps = (
        f"relevant over {show_length(relevant, units)}: {passed} of {len(seen.linear) + len(seen.rounded)} are not",
        f"linear none, rounded at most {show_length(most, units)}, fewer than {least} in a line",
    )
    tables = (basis("surface_acceptance_b31_3", row),)
    source = Source("ASME B31.3", "2016", row["clause"], row["state"], tables=tables)
    return Verdict(tuple(against), steps, source)


def judged_surface(kind: str, size: Decimal | None, method: str, units: str) -> tuple[Judgement, Source] | None:
    """One indication by PT or MT; None for what has no limit there, as a crack, which the acceptance table forbids.

    size      its greatest dimension in mm
    Source    ASME B31.3 344.4.2 (PT), 344.3.2 (MT)
    """
    if kind not in _LINEAR | _ROUNDED:
        return None
    is_linear = kind in _LINEAR
    seen = Surface(linear=(size,)) if is_linear and size is not None else Surface((size,) if size is not None else ())
    held = judge_surface(method, seen, units)
    row = next(row for row in table("surface_acceptance_b31_3").rows if row["method"] == method)
    relevant, most = (given(length_of(row, name, units)) for name in ("relevant_over", "rounded_most"))
    limit = relevant if is_linear else most
    if size is None:
        return Judgement(limit, None, held.steps[1:], undecided=NO_SIZE), held.source
    if held.value or size <= relevant:
        return Judgement(limit, not held.value, held.steps), held.source
    return Judgement(limit, None, held.steps, undecided=IN_LINE), held.source
