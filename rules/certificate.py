"""A certificate against its material: chemistry with its allowances, strengths, elongation and hardness."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from functools import lru_cache

from rules.facts import HeatFacts
from rules.materials import grades, same_name
from rules.source import Source, Verdict
from rules.tables import basis, length_of, table
from rules.units import KSI_IN_MPA, SI, US, plain

OLDER, NEWER = "older", "newer"
ROUNDED, REPORTED = "rounded", "reported"
ELEMENTS = ("C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V", "Nb", "Ti", "Al", "B", "N")
STRENGTHS = ("tensile", "yield")
_UNITS = {"tensile": ("ksi", "MPa"), "yield": ("ksi", "MPa"), "elongation": ("%", "%"), "hardness": ("HBW", "HBW")}
_STEP, _TENTH, _FIGURES = Decimal("0.01"), Decimal("0.1"), Decimal("0.0001")
_TRADE, _CE = "Mn for C", "CE"


@dataclass(frozen=True, slots=True)
class Fault:
    """One value outside its limit, in the job's units: `Mn 1.45 %`, `at most 1.35 %`, and how that limit came about."""

    property: str
    measured: str
    limit: str
    step: str

    def __str__(self) -> str:
        return f"{self.measured}, {self.limit}"


def check(
    heat: HeatFacts,
    units: str = SI,
    edition: str = NEWER,
    *,
    rounding: str = ROUNDED,
    supplement: bool = False,
    section_mm: Decimal | None = None,
) -> Verdict[tuple[Fault, ...]] | None:
    """What of a heat's certificate is outside its material's limits; None for a material without a table.

    A value that the certificate does not give is not judged. A dual grade must meet each of its grades. A strength
    written in ksi or psi is held to the ksi figure on an SI job too, since the specification has both.
    edition     older or newer, where a limit changed
    rounding    rounded: to the last digit of the limit before comparing, the rounding method of ASTM E29 (from memory);
                reported: compared as the certificate gives it, the absolute method of ASTM E29 (from memory)
    supplement  whether the supplementary carbon equivalent was ordered; section_mm decides its limit, not given: thin
    """
    known = [
        (*limits, *_equivalents(grade, supplement, section_mm, units))
        for grade in grades(heat.material)
        if (limits := _limits_on(heat, grade, edition, units))
    ]
    if not known:
        return None
    values = _values(heat, units)
    faults: list[Fault] = []
    notes: list[str] = []
    for limits in known:
        for limit in limits:
            value = values.get(limit.property) if limit.elements is None else _sum(limit.elements, values)
            if limit.property == _CE and value is not None:
                notes += _taken_as_none(heat.elements)
            if value is None or _is_within(value, limit):
                continue
            fault = _fault(value, limit, limits, values, rounding)
            if fault:
                faults.append(fault)
                notes += [f"{limit.property}: {limit.note}"] if limit.note and not fault.step else []
    if rounding == REPORTED and faults:
        notes.append("Values are compared as reported, not rounded to the limit's digits first (ASTM E29).")
    if heat.analysis == "product" and faults:
        notes.append("This is a product analysis; the variation the specification permits for one is not considered.")
    changed = any(limit.state == "conflict" for limits in known for limit in limits)
    name = heat.material.removeprefix("ASTM ")
    origin = Source(
        f"ASTM {name}" if name.startswith("A") else f"AWS {name}", "", f"{edition} edition" if changed else ""
    )
    origin = replace(origin, state="conflict" if changed else "checked", tables=(basis("certificates"),))
    return Verdict(tuple(dict.fromkeys(faults)), (), origin, tuple(dict.fromkeys(notes)))


def compared(
    heat: HeatFacts,
    units: str = SI,
    edition: str = NEWER,
    *,
    supplement: bool = False,
    section_mm: Decimal | None = None,
) -> tuple[str, ...]:
    """Each comparison that `check` makes, as a line: `C 0.22 <= 0.30 %`."""
    values = _values(heat, units)
    lines = []
    for grade in grades(heat.material):
        for limit in (*_limits_on(heat, grade, edition, units), *_equivalents(grade, supplement, section_mm, units)):
            value = values.get(limit.property) if limit.elements is None else _sum(limit.elements, values)
            if value is not None:
                low = f"{limit.least} <= " if limit.least is not None else ""
                high = f" <= {limit.greatest}" if limit.greatest is not None else ""
                lines.append(f"{limit.property} {low}{plain(value.quantize(_FIGURES))}{high} {limit.unit}")
    return tuple(dict.fromkeys(lines))


def has_limits(material: str) -> bool:
    """Whether the table knows this material."""
    return any(_limits(grade, NEWER, SI) for grade in grades(material))


def known_materials() -> tuple[str, ...]:
    """The materials that the table knows, as it writes them."""
    return tuple(dict.fromkeys(row["material"] for row in table("certificates").rows))


def carbon_equivalent(elements: Mapping[str, Decimal]) -> tuple[Decimal, Decimal]:
    """CE (IIW) and Pcm of an analysis in weight percent; an element not given counts as none.

    Source    IIW: C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15;
              Pcm: C + Si/30 + (Mn+Cu+Cr)/20 + Ni/60 + Mo/15 + V/10 + 5B
    """
    e = {name: elements.get(name, Decimal(0)) for name in ELEMENTS}
    ce = e["C"] + e["Mn"] / 6 + (e["Cr"] + e["Mo"] + e["V"]) / 5 + (e["Ni"] + e["Cu"]) / 15
    pcm = e["C"] + e["Si"] / 30 + (e["Mn"] + e["Cu"] + e["Cr"]) / 20 + e["Ni"] / 60 + e["Mo"] / 15 + e["V"] / 10
    return ce, pcm + 5 * e["B"]


def _taken_as_none(elements: Mapping[str, Decimal]) -> tuple[str, ...]:
    """A sentence on the terms of CE that a certificate does not give: what it comes to is then a least."""
    missing = [name for name in ("Cr", "Mo", "V", "Ni", "Cu") if name not in elements]
    told = f"CE takes {', '.join(missing)} as 0, which the certificate does not give: it is at least what is shown."
    return (told,) if missing else ()


def rounded_as(value: Decimal, limit: Decimal) -> Decimal:
    """A value rounded to the last digit of its limit, half to even, as the rounding method of ASTM E29 does."""
    return value.quantize(limit, ROUND_HALF_EVEN)


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of the table in the job's unit; `elements` are the terms of a sum, None for a single value."""

    property: str
    elements: tuple[str, ...] | None
    least: Decimal | None
    greatest: Decimal | None
    unit: str
    state: str
    note: str


@lru_cache(maxsize=4096)
def _limits(grade: str, edition: str, units: str) -> tuple[Limit, ...]:
    rows = (
        row
        for row in table("certificates").rows
        if same_name(row["material"]) == grade and row["edition"] in ("any", edition)
    )
    return tuple(_limit(row, units) for row in rows)


def _limits_on(heat: HeatFacts, grade: str, edition: str, units: str) -> tuple[Limit, ...]:
    """The limits on a heat of a grade: those of the units, and of a strength written in ksi that in ksi."""
    limits = _limits(grade, edition, units)
    if units == US or not (written := _in_ksi(heat)):
        return limits
    in_ksi = {one.property: one for one in _limits(grade, edition, US) if one.property in written}
    return tuple(in_ksi.get(one.property, one) for one in limits)


def _in_ksi(heat: HeatFacts) -> frozenset[str]:
    """The strengths that were written in ksi or psi: hundredths of a ksi, whose MPa are no round figure."""
    return frozenset(name for name, mpa in _strengths(heat) if mpa is not None and _is_in_ksi(mpa))


def _is_in_ksi(mpa: Decimal) -> bool:
    ksi = (mpa / KSI_IN_MPA).quantize(_STEP)
    return mpa != mpa.quantize(_TENTH) and (ksi * KSI_IN_MPA).quantize(_FIGURES) == mpa.quantize(_FIGURES)


def _strengths(heat: HeatFacts) -> tuple[tuple[str, Decimal | None], ...]:
    return ("tensile", heat.tensile_mpa), ("yield", heat.yield_mpa)


def _equivalents(grade: str, supplement: bool, section_mm: Decimal | None, units: str) -> Iterator[Limit]:
    """The limit of the carbon equivalent, for certificates that give carbon and manganese."""
    for row in table("carbon_equivalent_limits").rows:
        if same_name(row["material"]) != grade or (row["supplement"] == "yes" and not supplement):
            continue
        over, to = (length_of(row, f"section_{bound}", units) for bound in ("over", "to"))
        section = section_mm or Decimal(0)
        if (over is None or section > over) and (to is None or section <= to):
            yield Limit(_CE, None, None, Decimal(row["greatest"]), "%", row["state"], "")


def _limit(row: Mapping[str, str], units: str) -> Limit:
    name = row["property"]
    suffix = "_us" if units == US and name in STRENGTHS else ""
    least, greatest = row[f"least{suffix}"], row[f"greatest{suffix}"]
    us_unit, si_unit = _UNITS.get(name, ("%", "%"))
    return Limit(
        property=name,
        elements=tuple(name.split("+")) if "+" in name else None,
        least=Decimal(least) if least else None,
        greatest=Decimal(greatest) if greatest else None,
        unit=us_unit if units == US else si_unit,
        state=row["state"],
        note=row["note"],
    )


def _values(heat: HeatFacts, units: str) -> dict[str, Decimal]:
    """What the certificate gives, strengths in the job's unit, or in ksi where they are written so."""
    values = dict(heat.elements)
    if "C" in values and "Mn" in values:
        values[_CE] = carbon_equivalent(values)[0]
    in_ksi = STRENGTHS if units == US else _in_ksi(heat)
    for name, mpa in _strengths(heat):
        if mpa is not None:
            # A strength that was told as 35 ksi is 35 ksi again, not the 34.9999 that its MPa to four places come to.
            values[name] = (mpa / KSI_IN_MPA if name in in_ksi else mpa).quantize(_FIGURES)
    given = {"elongation": heat.elongation_percent, "hardness": heat.hardness}
    return values | {name: value for name, value in given.items() if value is not None}


def _sum(elements: tuple[str, ...], values: Mapping[str, Decimal]) -> Decimal | None:
    """The sum of the elements that are given, or None with fewer than two."""
    given = [values[one] for one in elements if one in values]
    return sum(given, Decimal(0)) if len(given) > 1 else None


def _is_within(value: Decimal, limit: Limit) -> bool:
    """Whether a value lies within, before any rounding: then it does after rounding too."""
    return (limit.least is None or value >= limit.least) and (limit.greatest is None or value <= limit.greatest)


def _fault(
    value: Decimal, limit: Limit, limits: Sequence[Limit], values: Mapping[str, Decimal], rounding: str
) -> Fault | None:
    """The fault of a value outside its limit, unless rounding or an allowance brings it in."""
    least, greatest, step = limit.least, limit.greatest, ""
    if limit.property == "Mn" and greatest is not None:
        greatest, step = _allowed_manganese(greatest, limits, values, rounding)
    if least is not None and _read(value, least, rounding) < least:
        bound, figure = "at least", least
    elif greatest is not None and _read(value, greatest, rounding) > greatest:
        bound, figure = "at most", greatest
    else:
        return None
    places = _TENTH if limit.property in STRENGTHS else _FIGURES
    shown = plain(value.quantize(places))
    name = limit.property
    return Fault(name, f"{name} {shown} {limit.unit}", f"{bound} {figure} {limit.unit}", step)


def _read(value: Decimal, limit: Decimal, rounding: str) -> Decimal:
    return value if rounding == REPORTED else rounded_as(value, limit)


def _allowed_manganese(
    most: Decimal, limits: Sequence[Limit], values: Mapping[str, Decimal], rounding: str
) -> tuple[Decimal, str]:
    """The limit of Mn raised for carbon under its own, with the arithmetic; as it stands where nothing allows that."""
    trade = next((one for one in limits if one.property == _TRADE), None)
    carbon_most = next((one.greatest for one in limits if one.property == "C" and one.greatest is not None), None)
    if trade is None or trade.least is None or trade.greatest is None or carbon_most is None or "C" not in values:
        return most, ""
    carbon = _read(values["C"], carbon_most, rounding)
    steps = max(Decimal(0), ((carbon_most - carbon) / _STEP).to_integral_value(ROUND_FLOOR))
    allowed = most + steps * trade.least
    told = f"Mn limit {most} + {steps} x {trade.least} = {allowed}"
    if allowed > trade.greatest:
        return max(trade.greatest, most), f"{told}, capped {trade.greatest}"
    return allowed, told
