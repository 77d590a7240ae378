"""Pressures of a leak test."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from rules.nearest import NotAccepted
from rules.pipe import Pipe
from rules.source import Source
from rules.tables import basis, given, table
from rules.units import KSI_IN_MPA, SI, US, UnitError, held, length_figure, parse_number, shown

CODES = ("B31.3", "B31.1")
KINDS = ("hydrostatic", "pneumatic", "sensitive")
# The table's psi and kPa; bar and MPa are its kPa.
_KPA = {"kPa": Decimal(1), "bar": Decimal("0.01"), "MPa": Decimal("0.001")}
UNITS = ("psi", *_KPA)
_WRITTEN = {one.casefold(): one for one in UNITS} | {"psig": "psi", "barg": "bar"}
_HOOP = "Of the hoop stress P D / 2 t with the nominal wall; what bends or pulls the pipe besides is not in it."
_COMPONENTS = "The ratings of valves, flanges and other components limit the test pressure too (from memory)."
_NO_YIELD = "A sensitive test asks nothing of the yield strength: the pipe plays no part."
_FORMS = "150 psi, 10 bar, 1000 kPa and 1 MPa"


@dataclass(frozen=True, slots=True)
class LeakTest:
    """Least test pressure, its greatest and the relief setting, in the unit of the design pressure; None: none set.

    pressure  None: none is both as high as the code asks and as low as the yield strength allows
    """

    pressure: Decimal | None
    max_pressure: Decimal | None
    relief: Decimal | None
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Stressed:
    """The weakest pipe of a test, with its least yield strength in MPa at test temperature."""

    pipe: Pipe
    yield_mpa: Decimal


def read_pressure(text: str, units: str) -> tuple[Decimal, str]:
    """A pressure as typed, in its own unit; a bare number is in psi (US) or kPa (SI). Raises UnitError for another."""
    found = re.fullmatch(r"(-?)([0-9]+\.?[0-9]*|\.[0-9]+)\s*([A-Za-z]*)", held(text).strip())
    unit = (_WRITTEN | {"": "psi" if units == US else "kPa"}).get(found[3].casefold()) if found else None
    if not found or unit is None:
        raise UnitError(f'"{text[:40]}" is not a pressure; accepted are {_FORMS}.')
    if found[1]:
        raise UnitError(f'"{text[:40]}" is negative, which a pressure cannot be; accepted are {_FORMS}.')
    return parse_number(found[2]), unit


def leak_test(
    kind: str,
    design: Decimal,
    unit: str,
    test_stress: Decimal | None = None,
    design_stress: Decimal | None = None,
    code: str = "B31.3",
    stressed: Stressed | None = None,
) -> LeakTest:
    """Test pressure of a line.

    test_stress, design_stress   allowable stress at test and at design temperature, for a hydrostatic test
    stressed  the pipe whose yield caps the pressure, by its hoop stress P D / 2 t with the nominal wall; None: no cap
    Raises    ValueError for another code, kind or unit, for what the code's figures here lack, or a pressure or stress
              that is not positive
    Source    ASME B31.3 345.4.2, 345.5, 345.8; ASME B31.1, its 102.3.3(B) from memory
    """
    if code not in CODES:
        raise NotAccepted(f'No test pressures of "{code}" are known', code, CODES)
    if kind not in KINDS or unit not in UNITS:
        raise ValueError(f'"{kind}" in {unit} is no test; accepted are {", ".join(KINDS)} in {", ".join(UNITS)}.')
    if any(value is not None and value <= 0 for value in (design, test_stress, design_stress)):
        raise ValueError("Pressures and stresses must be over 0.")
    if code == "B31.1":
        found, row, name = _power(kind, design, unit, test_stress)
    elif kind == "hydrostatic":
        found, row, name = _hydrostatic(design, unit, test_stress, design_stress)
    elif kind == "pneumatic":
        found, row, name = _pneumatic(design, unit)
    else:
        found, row, name = _sensitive(design, unit)
    tables = (basis(name, row), *(stressed.pipe.source.tables if stressed and row["yield_share"] else ()))
    return _capped(replace(found, source=replace(found.source, tables=tables)), row, unit, code, stressed)


Found = tuple[LeakTest, Mapping[str, str], str]  # what the factors come to, and the row and table they stand in


def _hydrostatic(design: Decimal, unit: str, test_stress: Decimal | None, design_stress: Decimal | None) -> Found:
    row = _row("hydrostatic")
    pressure = Decimal(row["factor"]) * design
    step = f"{row['factor']} x {design:f} = {pressure:f} {unit}"
    if test_stress is not None and design_stress is not None:
        ratio = min(Decimal(row["ratio_most"]), max(Decimal(1), test_stress / design_stress))
        pressure *= ratio
        told = f"{test_stress:f}/{design_stress:f} ({ratio:.4f})"
        step = f"{row['factor']} x {design:f} x {told} = {pressure:.2f} {unit}"
    found = _of_row(row, pressure, (step,), unit)
    return replace(found, notes=(_COMPONENTS, *found.notes)), row, "leak_test_b31_3"


def _pneumatic(design: Decimal, unit: str) -> Found:
    row = _row("pneumatic")
    least, most = Decimal(row["factor"]) * design, Decimal(row["most_factor"]) * design
    flat = _flat(row, "relief", unit)
    over = min(flat, Decimal(row["relief_share"]) * least)
    percent = (Decimal(row["relief_share"]) * 100).normalize()
    steps = (
        f"{row['factor']} x {design:f} = {least:f} {unit}",
        f"at most {row['most_factor']} x {design:f} = {most:f} {unit}",
        f"relief: {least:f} + the smaller of {flat:f} and {percent:f} % = {least + over:f} {unit}",
    )
    found = _of_row(row, least, steps, unit)
    return replace(found, max_pressure=most, relief=least + over), row, "leak_test_b31_3"


def _sensitive(design: Decimal, unit: str) -> Found:
    row = _row("sensitive")
    flat, least = _flat(row, "flat", unit), Decimal(row["factor"]) * design
    pressure = min(flat, least)
    step = f"the smaller of {flat:f} and {Decimal(row['factor']) * 100:f} % of {design:f} = {pressure:f} {unit}"
    return _of_row(row, pressure, (step,), unit), row, "leak_test_b31_3"


def _of_row(row: Mapping[str, str], pressure: Decimal, steps: tuple[str, ...], unit: str) -> LeakTest:
    source = Source("ASME B31.3", "2016", row["clause"], row["state"])
    return LeakTest(pressure, None, None, steps, _notes(row, pressure, unit), source)


def _power(kind: str, design: Decimal, unit: str, test_stress: Decimal | None) -> Found:
    rows = {row["kind"]: row for row in table("leak_test_b31_1").rows}
    if kind not in rows:
        raise NotAccepted(f'No figure of B31.1 for a "{kind}" test is known', kind, rows)
    if test_stress is not None:
        raise ValueError("The ratio of stresses belongs to B31.3; for B31.1 accepted is the design pressure alone.")
    row = rows[kind]
    least = Decimal(row["factor"]) * design
    steps = [f"{row['factor']} x {design:f} = {least:f} {unit}"]
    most = Decimal(row["most_factor"]) * design if row["most_factor"] else None
    if most is not None:
        steps.append(f"at most {row['most_factor']} x {design:f} = {most:f} {unit}")
    source = Source("ASME B31.1", "", "", row["state"])
    hold = (f"Hold at least {row['hold_min']} minutes.",)
    return LeakTest(least, most, None, tuple(steps), hold, source), row, "leak_test_b31_1"


def _capped(found: LeakTest, row: Mapping[str, str], unit: str, code: str, stressed: Stressed | None) -> LeakTest:
    """The same test held to the yield strength, or with the words that it was not."""
    if not row["yield_share"]:
        return replace(found, notes=(_NO_YIELD, *found.notes)) if stressed else found
    pressure = given(found.pressure)
    if stressed is None:
        told = f"The stress is also limited to {_percent(row, code)}: not computed without a pipe and its yield."
        return replace(found, notes=(told, *found.notes))
    cap = _at_yield(row, unit, stressed)
    step = f"{_percent(row, code)}: {_shown(row, unit, stressed)} = {cap:.2f} {unit}"
    found = replace(found, steps=(*found.steps, step), notes=(_HOOP, *found.notes))
    most = cap if found.max_pressure is None else min(cap, found.max_pressure)
    if cap >= pressure:
        return _relief_within(replace(found, max_pressure=most), cap, unit)
    if code == "B31.3" and found.relief is None:
        lower = f"{pressure:.2f} is over it: the pressure may be lowered to {cap:.2f} {unit}"
        return replace(found, pressure=cap, max_pressure=cap, steps=(*found.steps, lower))
    over = f"The least test pressure, {pressure:.2f} {unit}, is over this greatest: no pressure satisfies both."
    return replace(found, pressure=None, max_pressure=most, relief=None, notes=(over, _HOOP))


def _relief_within(found: LeakTest, cap: Decimal, unit: str) -> LeakTest:
    """The same test, its relief held to the yield limit: else the line would pass that before it opens."""
    if found.relief is None or found.relief <= cap:
        return found
    step = f"relief: {found.relief:.2f} is over the yield limit, so at most {cap:.2f} {unit}"
    return replace(found, relief=cap, steps=(*found.steps, step))


def _at_yield(row: Mapping[str, str], unit: str, stressed: Stressed) -> Decimal:
    units = US if unit == "psi" else SI
    mpa = Decimal(row["yield_share"]) * stressed.yield_mpa * 2 * stressed.pipe.wall(units) / stressed.pipe.od(units)
    return mpa * 1000 / KSI_IN_MPA if unit == "psi" else mpa * 1000 * _KPA[unit]


def _shown(row: Mapping[str, str], unit: str, stressed: Stressed) -> str:
    units = US if unit == "psi" else SI
    wall, od = (length_figure(one, units) for one in (stressed.pipe.wall(units), stressed.pipe.od(units)))
    return f"{row['yield_share']} x {shown(stressed.yield_mpa, 'MPa', units)} x 2 x {wall} / {od}"


def _percent(row: Mapping[str, str], code: str) -> str:
    told = f"{Decimal(row['yield_share']) * 100:.0f} % of yield"
    return f"{told} (102.3.3(B), from memory)" if code == "B31.1" else told


def _row(kind: str) -> Mapping[str, str]:
    return next(row for row in table("leak_test_b31_3").rows if row["kind"] == kind)


def _flat(row: Mapping[str, str], name: str, unit: str) -> Decimal:
    """A flat pressure of the row in the unit asked for."""
    return Decimal(row[f"{name}_psi"]) if unit == "psi" else Decimal(row[f"{name}_kpa"]) * _KPA[unit]


def _notes(row: Mapping[str, str], pressure: Decimal, unit: str) -> tuple[str, ...]:
    """The preliminary check and the hold."""
    hold = f"Hold at least {row['hold_min']} minutes."
    if not row["preliminary_share"]:
        return (hold,)
    first = min(_flat(row, "preliminary", unit), Decimal(row["preliminary_share"]) * pressure)
    return (f"Preliminary check at {first.normalize():f} {unit}; then raise in steps.", hold)
