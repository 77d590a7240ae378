"""How much filler joints need: cross-section x length x density / deposition efficiency, each assumption shown."""

from dataclasses import dataclass
from decimal import Decimal, localcontext
from math import cos, pi, radians, sin

from rules.continuity import base_process
from rules.filler_quantity import KG_PER_LB
from rules.nearest import NotAccepted
from rules.source import Source
from rules.tables import table
from rules.units import MM_PER_INCH, SI, computed_figure, length_figure

_PI = Decimal(str(pi))
PRACTICE = Source("common practice", state="practice")


@dataclass(frozen=True, slots=True)
class Section:
    """The cross-section of a weld and the length of the circle on which its centre of area runs."""

    area_mm2: Decimal
    length_mm: Decimal
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Filler:
    """Weld metal in the joints and filler to buy for them, in kilograms."""

    deposited_kg: Decimal
    needed_kg: Decimal
    steps: tuple[str, ...]
    notes: tuple[str, ...]


def fillet_section(od_mm: Decimal, leg_a_mm: Decimal, leg_b_mm: Decimal, units: str = SI) -> Section:
    """A fillet round a pipe: half of leg x leg, its centre a third of the outer leg off the pipe.

    leg_a_mm   along the pipe; leg_b_mm up the fitting
    Raises     ValueError for a length that is not positive
    """
    _positive(od_mm, leg_a_mm, leg_b_mm)
    area = leg_a_mm * leg_b_mm / 2
    length = _PI * (od_mm + 2 * leg_b_mm / 3)
    a, b, od = (length_figure(one, units) for one in (leg_a_mm, leg_b_mm, od_mm))
    steps = (
        f"fillet: {a} x {b} / 2 = {_area(area, units)}",
        f"round its centre: pi x ({od} + 2 x {b} / 3) = {_round(length, units)}",
    )
    return Section(area, length, steps)


def groove_section(
    od_mm: Decimal,
    wall_mm: Decimal,
    *,
    root_mm: Decimal,
    land_mm: Decimal,
    angle_degrees: Decimal,
    reinforcement_mm: Decimal = Decimal(0),
    units: str = SI,
) -> Section:
    """A V-groove round a pipe: the root opening through the wall, two bevels above the land, a flat parabola on top.

    angle_degrees   included angle of the groove, both bevels together
    Raises          ValueError for a length or angle that cannot be
    """
    _positive(od_mm, wall_mm)
    if min(root_mm, land_mm, reinforcement_mm) < 0 or land_mm > wall_mm or not 0 <= angle_degrees < 180:
        raise ValueError(
            "Root, land and reinforcement are from 0, the land within the wall, the angle under 180 degrees."
        )
    half = radians(float(angle_degrees) / 2)
    slope = Decimal(str(sin(half) / cos(half)))
    deep = wall_mm - land_mm
    width = root_mm + 2 * deep * slope
    area = root_mm * wall_mm + deep**2 * slope + width * reinforcement_mm * 2 / 3
    length = _PI * (od_mm - wall_mm)
    root, land, top, wall, od = (
        length_figure(one, units) for one in (root_mm, land_mm, reinforcement_mm, wall_mm, od_mm)
    )
    steps = (
        f"groove: {root} x {wall} + ({wall} - {land})² x tan({angle_degrees / 2:f}°) "
        f"+ 2/3 x {computed_figure(width, units)} x {top} = {_area(area, units)}",
        f"round the middle of the wall: pi x ({od} - {wall}) = {_round(length, units)}",
    )
    return Section(area, length, steps)


def filler_needed(
    section: Section,
    joints: int,
    process: str,
    metal: str = "carbon",
    efficiency: Decimal | None = None,
    spare_percent: Decimal = Decimal(0),
    units: str = SI,
) -> Filler:
    """Filler for a number of like joints.

    efficiency     share of the filler that becomes weld metal; None: of the process, by common practice
    spare_percent  on top
    Raises         ValueError for an efficiency outside 0 to 1, a negative number, or naming the accepted processes
    Source         common practice
    """
    densities = {row["metal"]: Decimal(row["kg_per_m3"]) for row in table("densities").rows}
    if metal not in densities:
        raise NotAccepted(f'There is no density of "{metal}"', metal, densities)
    share = of_process(process, "efficiency") if efficiency is None else efficiency
    if not 0 < share <= 1 or joints < 0 or spare_percent < 0:
        raise ValueError("The efficiency is over 0 and at most 1; joints and spare are from 0.")
    with localcontext(prec=28):
        each = section.area_mm2 * section.length_mm * densities[metal] / 10**9
        deposited = each * joints
        needed = deposited / share * (1 + spare_percent / 100)
    density = _density(densities[metal], units)
    steps = (
        *section.steps,
        f"{_area(section.area_mm2, units)} x {_round(section.length_mm, units)} x {density}"
        f" = {_weight(each, units, 4)} a joint",
        f"{joints} joints: {_weight(deposited, units)} / {share:f}"
        f"{f' + {spare_percent:f} %' if spare_percent else ''} = {_weight(needed, units)} of filler",
    )
    notes = [f"Density {density} and efficiency {share:f} are assumptions, not a code's figures."]
    return Filler(deposited, needed, steps, tuple(notes))


def of_process(process: str, column: str) -> Decimal:
    """A figure of a process by common practice; raises ValueError naming the accepted processes."""
    rows = {row["process"]: row for row in table("deposition").rows}
    found = rows.get(base_process(process))
    if found is None:
        raise NotAccepted(f'There is no figure for "{process}"', process, rows)
    return Decimal(found[column])


def _positive(*lengths: Decimal) -> None:
    for one in lengths:
        if one <= 0:
            raise ValueError(f"A length of {one:f} mm is not possible; it must be over 0 mm.")


def _area(mm2: Decimal, units: str) -> str:
    return f"{mm2:.2f} mm²" if units == SI else f"{mm2 / MM_PER_INCH**2:.4f} in²"


def _round(mm: Decimal, units: str) -> str:
    """A length round the pipe."""
    return f"{mm:.1f} mm" if units == SI else f"{mm / MM_PER_INCH:.2f} in"


def _density(kg_per_m3: Decimal, units: str) -> str:
    if units == SI:
        return f"{kg_per_m3:f} kg/m³"
    return f"{kg_per_m3 / KG_PER_LB * (MM_PER_INCH / 1000) ** 3:.4f} lb/in³"


def _weight(kg: Decimal, units: str, places: int = 3) -> str:
    return f"{kg:.{places}f} kg" if units == SI else f"{kg / KG_PER_LB:.{places}f} lb"
