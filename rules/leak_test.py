"""Pressures of a leak test."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from rules.nearest import NotAccepted
from rules.source import Source
from rules.tables import basis, table
from rules.units import US, UnitError, parse_number

CODES = ("B31.3", "B31.1")
KINDS = ("hydrostatic", "pneumatic", "sensitive")
# The table's psi and kPa; bar and MPa are its kPa.
_KPA = {"kPa": Decimal(1), "bar": Decimal("0.01"), "MPa": Decimal("0.001")}
UNITS = ("psi", *_KPA)
_WRITTEN = {one.casefold(): one for one in UNITS} | {"psig": "psi", "barg": "bar"}
_YIELD = (
    "The greatest is also limited by 90 % of the yield strength at test temperature, of the hoop stress "
    "(102.3.3(B), from memory)."
)
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
    kind: str,
    design: Decimal,
    unit: str,
    test_stress: Decimal | None = None,
    design_stress: Decimal | None = None,
    code: str = "B31.3",
) -> LeakTest:
    """Test pressure of a line.

    test_stress, design_stress   allowable stress at test and at design temperature, for a hydrostatic test
    Raises    ValueError for another code, kind or unit, for what the code's figures here lack, or a pressure or stress
              that is not positive
    Source    ASME B31.3 345.4.2, 345.5, 345.8; ASME B31.1
    """
    if code not in CODES:
        raise NotAccepted(f'No test pressures of "{code}" are known', code, CODES)
    if kind not in KINDS or unit not in UNITS:
        raise ValueError(f'"{kind}" in {unit} is no test; accepted are {", ".join(KINDS)} in {", ".join(UNITS)}.')
    if any(value is not None and value <= 0 for value in (design, test_stress, design_stress)):
        raise ValueError("Pressures and stresses must be over 0.")
    if code == "B31.1":
        return _power(kind, design, unit, test_stress)
    if kind == "hydrostatic":
        return _hydrostatic(design, unit, test_stress, design_stress)
    row = _row(kind)
    least = Decimal(row["factor"]) * design
    source = Source("ASME B31.3", "2016", row["clause"], row["state"], tables=(basis("leak_test_b31_3", row),))
    if kind == "pneumatic":
        most, flat = Decimal(row["most_factor"]) * design, _flat(row, "relief", unit)
        over = min(flat, Decimal(row["relief_share"]) * least)
        percent = (Decimal(row["relief_share"]) * 100).normalize()
        steps = (
            f"{row['factor']} x {design:f} = {least:f} {unit}",
            f"at most {row['most_factor']} x {design:f} = {most:f} {unit}",
            f"relief: {least:f} + the smaller of {flat:f} and {percent:f} % = {least + over:f} {unit}",
        )
        notes = ("The greatest is also limited by 90 % of the yield strength.", *_notes(row, least, unit))
        return LeakTest(least, most, least + over, steps, notes, source)
    flat = _flat(row, "flat", unit)
    pressure = min(flat, least)
    step = f"the smaller of {flat:f} and {Decimal(row['factor']) * 100:f} % of {design:f} = {pressure:f} {unit}"
    return LeakTest(pressure, None, None, (step,), _notes(row, pressure, unit), source)


def _hydrostatic(design: Decimal, unit: str, test_stress: Decimal | None, design_stress: Decimal | None) -> LeakTest:
    row = _row("hydrostatic")
    source = Source("ASME B31.3", "2016", row["clause"], row["state"], tables=(basis("leak_test_b31_3", row),))
    pressure = Decimal(row["factor"]) * design
    step = f"{row['factor']} x {design:f} = {pressure:f} {unit}"
    if test_stress is not None and design_stress is not None:
        ratio = min(Decimal(row["ratio_most"]), max(Decimal(1), test_stress / design_stress))
        pressure *= ratio
        told = f"{test_stress:f}/{design_stress:f} ({ratio:.4f})"
        step = f"{row['factor']} x {design:f} x {told} = {pressure:.2f} {unit}"
    notes = ("It may be lower where the stress would exceed yield at test temperature.", *_notes(row, pressure, unit))
    return LeakTest(pressure, None, None, (step,), notes, source)


def _power(kind: str, design: Decimal, unit: str, test_stress: Decimal | None) -> LeakTest:
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
    source = Source("ASME B31.1", "", "", row["state"], tables=(basis("leak_test_b31_1", row),))
    return LeakTest(least, most, None, tuple(steps), (_YIELD, f"Hold at least {row['hold_min']} minutes."), source)


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
