"""A certificate against its material: chemistry with its allowances, strengths, elongation and hardness."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from functools import cache

from rules.facts import HeatFacts
from rules.materials import grades, same_name
from rules.source import Source, Verdict
from rules.tables import table
from rules.units import SI, US, plain

OLDER, NEWER = "older", "newer"
ELEMENTS = ("C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V", "Nb", "Ti", "Al", "B", "N")
STRENGTHS = ("tensile", "yield")
_KSI = Decimal("6.894757293168")
_UNITS = {"tensile": ("ksi", "MPa"), "yield": ("ksi", "MPa"), "elongation": ("%", "%"), "hardness": ("HBW", "HBW")}
_STEP = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Fault:
    """One value outside its limit, in the job's units: `Mn 1.45 %`, `at most 1.35 %`, and how that limit came about."""

    property: str
    measured: str
    limit: str
    step: str

    def __str__(self) -> str:
        return f"{self.measured}, {self.limit}"


def check(heat: HeatFacts, units: str = SI, edition: str = NEWER) -> Verdict[tuple[Fault, ...]] | None:
    """What of a heat's certificate is outside its material's limits; None for a material without a table.

    A value that the certificate does not give is not judged. Values are rounded to the last digit of the limit before
    they are compared (ASTM E29). A dual grade must meet each of its grades.
    edition   older or newer, where a limit changed
    """
    known = [(grade, rows) for grade in grades(heat.material) if (rows := _limits(grade, edition))]
    if not known:
        return None
    values = _values(heat, units)
    faults: list[Fault] = []
    steps: list[str] = []
    notes: list[str] = []
    for _grade, rows in known:
        for row in rows:
            name = row["property"]
            if name == "Mn for C":
                continue
            value = _sum(name, values) if "+" in name else values.get(name)
            if value is None:
                continue
            least, greatest, step = _bounds(row, rows, values, units)
            fault = _fault(name, value, least, greatest, step, units)
            steps.append(step or _told(name, value, least, greatest, units))
            if fault:
                faults.append(fault)
                notes += [f"{name}: {row['note']}"] if row["note"] and not step else []
    if heat.analysis == "product" and faults:
        notes.append("This is a product analysis; the variation the specification permits for one is not considered.")
    state = "conflict" if any(row["state"] == "conflict" for _, rows in known for row in rows) else "checked"
    source = Source(
        f"ASTM {heat.material.removeprefix('ASTM ')}", clause=f"{edition} edition" if state == "conflict" else ""
    )
    return Verdict(tuple(dict.fromkeys(faults)), tuple(dict.fromkeys(steps)), _with_state(source, state), tuple(notes))


def has_limits(material: str) -> bool:
    """Whether the table knows this material."""
    return any(_limits(grade, NEWER) for grade in grades(material))


def carbon_equivalent(elements: Mapping[str, Decimal]) -> tuple[Decimal, Decimal]:
    """CE (IIW) and Pcm of an analysis in weight percent; an element not given counts as none.

    Source    IIW: C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15;
              Pcm: C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5B
    """
    e = {name: elements.get(name, Decimal(0)) for name in ELEMENTS}
    ce = e["C"] + e["Mn"] / 6 + (e["Cr"] + e["Mo"] + e["V"]) / 5 + (e["Ni"] + e["Cu"]) / 15
    pcm = e["C"] + e["Si"] / 30 + (e["Mn"] + e["Cu"] + e["Cr"]) / 20 + e["Ni"] / 60 + e["Mo"] / 15 + e["V"] / 10
    return ce, pcm + 5 * e["B"]


def rounded_as(value: Decimal, limit: Decimal) -> Decimal:
    """A value rounded to the last digit of its limit, half to even, as ASTM E29 rounds before comparing."""
    return value.quantize(limit, ROUND_HALF_EVEN)


@cache
def _limits(grade: str, edition: str) -> tuple[Mapping[str, str], ...]:
    return tuple(
        row
        for row in table("certificates").rows
        if same_name(row["material"]) == grade and row["edition"] in ("any", edition)
    )


def _values(heat: HeatFacts, units: str) -> dict[str, Decimal]:
    """What the certificate gives, strengths in the job's unit."""
    values = dict(heat.elements)
    per = _KSI if units == US else Decimal(1)
    given = {"tensile": heat.tensile_mpa, "yield": heat.yield_mpa}
    values |= {name: value / per for name, value in given.items() if value is not None}
    given = {"elongation": heat.elongation_percent, "hardness": heat.hardness}
    return values | {name: value for name, value in given.items() if value is not None}


def _sum(name: str, values: Mapping[str, Decimal]) -> Decimal | None:
    """The sum of the elements that are given, or None with fewer than two."""
    given = [values[one] for one in name.split("+") if one in values]
    return sum(given, Decimal(0)) if len(given) > 1 else None


def _bounds(
    row: Mapping[str, str], rows: tuple[Mapping[str, str], ...], values: Mapping[str, Decimal], units: str
) -> tuple[Decimal | None, Decimal | None, str]:
    """Least and greatest of a property in the job's unit, and the arithmetic of an allowance where one was used."""
    suffix = "_us" if units == US and row["property"] in STRENGTHS else ""
    least, greatest = row[f"least{suffix}"], row[f"greatest{suffix}"]
    bounds = Decimal(least) if least else None, Decimal(greatest) if greatest else None
    if row["property"] != "Mn" or bounds[1] is None or values["Mn"] <= bounds[1]:
        return *bounds, ""
    trade = next((one for one in rows if one["property"] == "Mn for C"), None)
    carbon_most = next((Decimal(one["greatest"]) for one in rows if one["property"] == "C" and one["greatest"]), None)
    if trade is None or carbon_most is None or "C" not in values:
        return *bounds, ""
    carbon = rounded_as(values["C"], carbon_most)
    steps = max(Decimal(0), ((carbon_most - carbon) / _STEP).to_integral_value(ROUND_FLOOR))
    allowed, ceiling = bounds[1] + steps * Decimal(trade["least"]), Decimal(trade["greatest"])
    told = f"Mn limit {bounds[1]} + {steps} x {trade['least']} = {allowed}"
    if allowed > ceiling:
        return bounds[0], max(ceiling, bounds[1]), f"{told}, capped {ceiling}"
    return bounds[0], allowed, told


def _fault(
    name: str, value: Decimal, least: Decimal | None, greatest: Decimal | None, step: str, units: str
) -> Fault | None:
    unit = _unit(name, units)
    if least is not None and rounded_as(value, least) < least:
        limit, bound = least, "at least"
    elif greatest is not None and rounded_as(value, greatest) > greatest:
        limit, bound = greatest, "at most"
    else:
        return None
    # Three figures are what a certificate gives; a strength in ksi was converted.
    shown = plain(value.quantize(Decimal("0.0001"))) if name not in STRENGTHS else plain(value.quantize(Decimal("0.1")))
    return Fault(name, f"{name} {shown} {unit}", f"{bound} {limit} {unit}", step)


def _told(name: str, value: Decimal, least: Decimal | None, greatest: Decimal | None, units: str) -> str:
    low = f"{least} <= " if least is not None else ""
    high = f" <= {greatest}" if greatest is not None else ""
    return f"{name} {low}{plain(value.quantize(Decimal('0.0001')))}{high} {_unit(name, units)}"


def _unit(name: str, units: str) -> str:
    us_unit, si_unit = _UNITS.get(name, ("%", "%"))
    return us_unit if units == US else si_unit


def _with_state(source: Source, state: str) -> Source:
    return Source(source.code, source.edition, source.clause, state)
