"""Pressures of a leak test."""

import re
from dataclasses import dataclass
from decimal import Decimal

from rules.source import Source
from rules.units import US, UnitError, parse_number

KINDS = ("hydrostatic", "pneumatic", "sensitive")
_RATIO_MOST = Decimal("6.5")
_RELIEF_OVER = {"psi": Decimal(50), "kPa": Decimal(345), "bar": Decimal("3.45"), "MPa": Decimal("0.345")}
_SENSITIVE = {"psi": Decimal(15), "kPa": Decimal(105), "bar": Decimal("1.05"), "MPa": Decimal("0.105")}
UNITS = tuple(_RELIEF_OVER)
_WRITTEN = {one.casefold(): one for one in UNITS} | {"psig": "psi", "barg": "bar"}
_FORMS = "150 psi, 10 bar, 1000 kPa and 1 MPa"


@dataclass(frozen=True, slots=True)
class LeakTest:
    """Least test pressure, its greatest and the relief setting, in the unit of the design pressure; None: none set."""

    pressure: Decimal
    max_pressure: Decimal | None
    relief: Decimal | None
    steps: tuple[str, ...]
    notes: tuple[str, ...]
    source: Source


def read_pressure(text: str, units: str) -> tuple[Decimal, str]:
    """A pressure as typed, in its own unit; a bare number is in psi (US) or kPa (SI). Raises UnitError for another."""
    found = re.fullmatch(r"(-?)([0-9]+\.?[0-9]*|\.[0-9]+)\s*([A-Za-z]*)", text.strip())
    unit = (_WRITTEN | {"": "psi" if units == US else "kPa"}).get(found[3].casefold()) if found else None
    if not found or unit is None:
        raise UnitError(f'"{text}" is not a pressure; accepted are {_FORMS}.')
    if found[1]:
        raise UnitError(f'"{text}" is negative, which a pressure cannot be; accepted are {_FORMS}.')
    return parse_number(found[2]), unit


def leak_test(
    kind: str, design: Decimal, unit: str, test_stress: Decimal | None = None, design_stress: Decimal | None = None
) -> LeakTest:
    """Test pressure of a line.

    test_stress, design_stress   allowable stress at test and at design temperature, for a hydrostatic test
    Raises    ValueError for another kind or unit, or a pressure or stress that is not positive
    Source    ASME B31.3 345.4.2, 345.5, 345.8
    """
    if kind not in KINDS or unit not in UNITS:
        raise ValueError(f'"{kind}" in {unit} is no test; accepted are {", ".join(KINDS)} in {", ".join(UNITS)}.')
    if any(value is not None and value <= 0 for value in (design, test_stress, design_stress)):
        raise ValueError("Pressures and stresses must be over 0.")
    if kind == "hydrostatic":
        return _hydrostatic(design, unit, test_stress, design_stress)
    if kind == "pneumatic":
        least = Decimal("1.1") * design
        most = Decimal("1.33") * design
        over = min(_RELIEF_OVER[unit], least / 10)
        steps = (
            f"1.1 x {design:f} = {least:f} {unit}",
            f"at most 1.33 x {design:f} = {most:f} {unit}",
            f"relief: {least:f} + the smaller of {_RELIEF_OVER[unit]} and 10 % = {least + over:f} {unit}",
        )
        notes = ("The greatest is also limited by 90 % of the yield strength.",)
        return LeakTest(least, most, least + over, steps, notes, Source("ASME B31.3", "2016", "345.5", "memory"))
    pressure = min(_SENSITIVE[unit], design / 4)
    step = f"the smaller of {_SENSITIVE[unit]} and 25 % of {design:f} = {pressure:f} {unit}"
    return LeakTest(pressure, None, None, (step,), (), Source("ASME B31.3", "2016", "345.8", "checked"))


def _hydrostatic(design: Decimal, unit: str, test_stress: Decimal | None, design_stress: Decimal | None) -> LeakTest:
    source = Source("ASME B31.3", "2016", "345.4.2", "checked")
    notes = ("It may be lower where the stress would exceed yield at test temperature.",)
    if test_stress is None or design_stress is None:
        pressure = Decimal("1.5") * design
        return LeakTest(pressure, None, None, (f"1.5 x {design:f} = {pressure:f} {unit}",), notes, source)
    ratio = min(_RATIO_MOST, max(Decimal(1), test_stress / design_stress))
    pressure = Decimal("1.5") * design * ratio
    step = f"1.5 x {design:f} x {test_stress:f}/{design_stress:f} ({ratio:.4f}) = {pressure:.2f} {unit}"
    return LeakTest(pressure, None, None, (step,), notes, source)
