"""An imperfection as measured against the criterion of the acceptance table."""

from dataclasses import dataclass
from decimal import Decimal

from rules.acceptance import depth_limit
from rules.units import MM_PER_INCH, SI, US, show_length

_POROSITY_TO_MM = Decimal(5)


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
) -> Judgement:
    """Hold a measurement against a criterion.

    symbol    letter of the table, empty: not evaluated
    measured  depth, height, or for a concave root the total thickness with reinforcement; length and width of an
              indication, length also cumulative for B and C; what is not given is not judged
    Source    ASME B31.3 Table 341.3.2, Table K341.3.2
    """
    if not symbol:
        return Judgement(None, None, ("the table does not evaluate this",))
    if symbol in ("F", "G", "KC"):
        return _linear(symbol, wall_mm, units, measured if length is None else length, width)
    if symbol == "K":
        step = f"criterion K: thickness with reinforcement at least Tw = {show_length(wall_mm, units)}"
        return Judgement(wall_mm, None if measured is None else measured >= wall_mm, (step,))
    if symbol in ("D", "E"):
        step = f"criterion {symbol}: rounded indications by BPVC Section VIII Division 1 Appendix 4"
        notes = ("1.5 x the size of criterion D over 6 mm.",) if symbol == "E" and wall_mm > 6 else ()
        return Judgement(None, None, (step,), notes)
    if symbol in ("J", "KE"):
        return Judgement(None, None, ("surface roughness at most 12.5 um (500 uin) Ra, ASME B46.1",))
    if kind == "surface-porosity" and wall_mm > _POROSITY_TO_MM:
        return Judgement(None, None, ("judged only where the weld is at most 5 mm thick (note 5)",))
    if symbol in ("KD", "KF"):
        limit: Decimal | None = _by_wall(wall_mm)
        steps: tuple[str, ...] = (f"by wall {show_length(wall_mm, units)}: {limit} mm",)
    else:
        limit, steps = depth_limit(symbol, wall_mm, units)
    return _depth(symbol, limit, steps, units, measured, length)


def _depth(
    symbol: str,
    limit: Decimal | None,
    steps: tuple[str, ...],
    units: str,
    measured: Decimal | None,
    length: Decimal | None,
) -> Judgement:
    verdicts = [] if measured is None or limit is None else [measured <= limit]
    if symbol in ("B", "C"):
        most = MM_PER_INCH * Decimal("1.5") if units == US else Decimal(38)
        steps = (
            *steps,
            f"cumulative length at most {show_length(most, units)} in any {'6 in' if units == US else '150 mm'}",
        )
        verdicts += [] if length is None else [length <= most]
    notes = ("Later editions add a cumulative length of 38 mm in 150 mm.",) if symbol in ("H", "I") else ()
    return Judgement(limit, all(verdicts) if verdicts else None, steps, notes)


def _linear(symbol: str, wall: Decimal, units: str, length: Decimal | None, width: Decimal | None) -> Judgement:
    if symbol == "KC":
        most = Decimal(6) if wall <= 19 else wall / 3 if wall <= 57 else Decimal(19)
        wide = None
        told = f"length at most {most:.4g} mm"
    else:
        most = 2 * wall if symbol == "G" else wall / 3
        flat = {("G", US): "3.175", ("G", SI): "3", ("F", US): "2.38125", ("F", SI): "2.5"}[symbol, units]
        wide = min(Decimal(flat), wall / 2 if symbol == "G" else wall / 3)
        told = f"length at most {'2 Tw' if symbol == 'G' else 'Tw/3'} = {most:.4g} mm, width at most {wide:.4g} mm"
    verdicts = [] if length is None else [length <= most]
    verdicts += [] if width is None or wide is None else [width <= wide]
    many = {"G": "cumulative 4 Tw in any 150 mm", "F": "cumulative Tw in any 12 Tw", "KC": "cumulative Tw in any 12 Tw"}
    notes = (f"The {many[symbol]} is not judged here.",)
    return Judgement(most, all(verdicts) if verdicts else None, (f"criterion {symbol[-1]}: {told}",), notes)


def _by_wall(wall: Decimal) -> Decimal:
    """Concavity and reinforcement of high pressure: 1.5, 3 or 4 mm to 13, to 51 and over (from memory)."""
    return Decimal("1.5") if wall <= 13 else Decimal(3) if wall <= 51 else Decimal(4)
