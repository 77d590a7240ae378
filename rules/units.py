"""The sizes, temperatures and pressures a fitter types, read exactly, and printed back as the trade writes them."""

import re
from collections.abc import Callable, Mapping
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction

US, SI = "US", "SI"
MM_PER_INCH = Decimal("25.4")
LB_IN_KG = Decimal("0.45359237")
LEAST, GREATEST = "least", "greatest"


class UnitError(ValueError):
    """A text that is no such quantity; the message names the text and lists what is accepted."""


# No figure that somebody types is longer; reading one of a thousand would take time as if of a million.
LONGEST = 200
_LENGTH_FORMS = "accepted are 1/8 in, 3-3/8 in, 2' 3-1/2\", 40 mm, 4 cm and 1.2 m"
_NUMBER = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)"
_AMOUNT = rf"(?:[0-9]+\s*[- ]\s*[0-9]+\s*/\s*[0-9]+|[0-9]+\s*/\s*[0-9]+|{_NUMBER})"
_INCH = r"(?:inches|inch|in\.?|\")"
LENGTH = re.compile(rf"({_AMOUNT})\s*(inches|inch|in\.?|\"|mm|cm|m|ft\.?|feet|foot|')?", re.IGNORECASE)
FEET = re.compile(rf"({_NUMBER})\s*(?:ft\.?|feet|foot|')\s*-?\s*({_AMOUNT})\s*{_INCH}?", re.IGNORECASE)
MIXED = re.compile(r"(?:([0-9]+)\s*[- ]\s*)?([0-9]+)\s*/\s*([0-9]+)")
QUANTITY = re.compile(rf"([-+]?{_NUMBER})\s*(.*)")
TAPE_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
MARKS = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "´": "'", "–": "-", "−": "-", "\u00a0": " "}
)
# Full-width signs, as an East Asian keyboard has them, by their common ones; what has no width is no sign.
WIDTHS = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)} | dict.fromkeys((0x3000, 0x200B, 0x2060, 0xFEFF), 32)
IN_MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction(254, 10), "ft": Fraction(3048, 10)}


def parse_length(text: str, units: str) -> Decimal:
    """Length in mm, exact to the last figure: 1/16 in is 1.5875.

    text    a fraction or decimal with or without unit, or feet and inches; a bare number is in the job's units
    units   the job's: US (inch) or SI (mm)
    Raises  UnitError for anything else, for a negative length and for a fraction that no tape has
    """
    plain = one_spelling(text)
    if plain.startswith("-"):
        raise UnitError(f"{_said(text)} is negative, and a length cannot be; {_LENGTH_FORMS}.")
    if feet := FEET.fullmatch(plain):
        return _exact(Fraction(feet[1]) * IN_MM["ft"] + _amount(feet[2], text) * IN_MM["in"])
    found = LENGTH.fullmatch(plain)
    if not found:
        raise UnitError(f"{_said(text)} is not a length; {_LENGTH_FORMS}.{_comma_hint(plain)}")
    return _exact(_amount(found[1], text) * IN_MM[_length_unit(found[1], found[2], units, text)])


def parse_number(text: str) -> Decimal:
    """A plain decimal number without unit; raises UnitError for anything else."""
    plain = one_spelling(text)
    if not re.fullmatch(rf"[-+]?{_NUMBER}", plain):
        raise UnitError(
            f"{_said(text)} is not a number; accepted are figures such as 12, 0.5 or -3.{_comma_hint(plain)}"
        )
    return Decimal(plain)


def parse_temperature(text: str, units: str) -> Decimal:
    """Temperature in °C to 0.0001; `200 F`, `93 °C`, a bare number in the job's units (US: °F)."""
    number, unit = _split(text, "a temperature", "200 F and 93 C")
    scale = unit.replace("°", "").replace("deg", "").strip().upper() or ("F" if units == US else "C")
    if scale in ("C", "CELSIUS"):
        celsius = number
    elif scale in ("F", "FAHRENHEIT"):
        celsius = (number - 32) * Fraction(5, 9)
    else:
        raise UnitError(f"{_said(text)} is not a temperature; accepted are 200 F and 93 C.")
    if celsius < Fraction("-273.15"):
        raise UnitError(f"{_said(text)} is below absolute zero; accepted are temperatures such as 200 F and 93 C.")
    return _rounded(celsius, "0.0001")


def parse_temperature_difference(text: str, units: str) -> Decimal:
    """A difference of temperatures in °C to 0.0001; `18 F` is 10 °C apart, and a difference may be negative."""
    number, unit = _split(text, "a temperature difference", "180 F and 100 C")
    scale = unit.replace("°", "").replace("deg", "").strip().upper() or ("F" if units == US else "C")
    if scale not in ("C", "K", "F"):
        raise UnitError(f"{_said(text)} is not a temperature difference; accepted are 180 F and 100 C.")
    return _rounded(number * Fraction(5, 9) if scale == "F" else number, "0.0001")


_PSI_IN_KPA = Fraction("4.4482216152605") / Fraction("0.0254") ** 2 / 1000
_PRESSURE = {
    "psi": _PSI_IN_KPA,
    "psig": _PSI_IN_KPA,
    "ksi": 1000 * _PSI_IN_KPA,
    "kpa": Fraction(1),
    "bar": Fraction(100),
}
_PRESSURE |= {"barg": Fraction(100), "mpa": Fraction(1000), "pa": Fraction(1, 1000), "n/mm2": Fraction(1000)}


def parse_pressure(text: str, units: str) -> Decimal:
    """Pressure in kPa; psi, bar, kPa, MPa, ksi, a bare number in the job's units (US: psi, SI: kPa)."""
    bare = "psi" if units == US else "kpa"
    return _scaled(text, _PRESSURE, bare, "a pressure", "150 psi, 10 bar, 1000 kPa and 1 MPa", "0.000001")


_STRESS = {unit: factor / 1000 for unit, factor in _PRESSURE.items()}


def parse_stress(text: str, units: str) -> Decimal:
    """Strength in MPa; ksi, psi, MPa, a bare number in the job's units (US: psi, SI: MPa)."""
    bare = "psi" if units == US else "mpa"
    return _scaled(text, _STRESS, bare, "a strength", "70 ksi, 70000 psi and 485 MPa", "0.000001")


IN_MM_A_MINUTE = {"mm/min": Fraction(1), "cm/min": Fraction(10), "mm/s": Fraction(60), "m/min": Fraction(1000)}
IN_MM_A_MINUTE |= {"in/min": Fraction(254, 10), "ipm": Fraction(254, 10), "in./min": Fraction(254, 10)}


def parse_travel(text: str, units: str) -> Decimal:
    """Travel speed in mm/min; in/min or ipm, mm/min, a bare number in the job's units (US: inch per minute)."""
    bare = "in/min" if units == US else "mm/min"
    return _scaled(text, IN_MM_A_MINUTE, bare, "a travel speed", "4 in/min, 4 ipm and 100 mm/min", "0.000001")


_HEAT_INPUT = {"kj/mm": Fraction(1), "j/mm": Fraction(1, 1000), "kj/in": 1 / Fraction("25.4")}
_HEAT_INPUT |= {"j/in": 1 / Fraction("25400"), "kj/cm": Fraction(1, 10)}


def parse_heat_input(text: str, units: str) -> Decimal:
    """Heat input in kJ/mm; kJ/mm, kJ/in, a bare number in the job's units (US: kJ/in)."""
    bare = "kj/in" if units == US else "kj/mm"
    return _scaled(text, _HEAT_INPUT, bare, "a heat input", "1.2 kJ/mm and 30 kJ/in", "0.00000001")


IN_AMPS = {"a": Fraction(1), "amp": Fraction(1), "amps": Fraction(1), "ka": Fraction(1000)}
IN_VOLTS = {"v": Fraction(1), "volt": Fraction(1), "volts": Fraction(1)}
IN_SECONDS = {"s": Fraction(1), "sec": Fraction(1), "min": Fraction(60), "h": Fraction(3600)}


def parse_current(text: str) -> Decimal:
    """Current in A; `140`, `140 A`."""
    return _scaled(text, IN_AMPS, "a", "a current", "140 A, or 140 alone", "0.0001")


def parse_voltage(text: str) -> Decimal:
    """Voltage in V; `12`, `12 V`."""
    return _scaled(text, IN_VOLTS, "v", "a voltage", "12 V, or 12 alone", "0.0001")


def parse_duration(text: str) -> Decimal:
    """Time in seconds; `90`, `90 s`, `1.5 min`, `1:30` (minutes and seconds)."""
    if clock := re.fullmatch(r"([0-9]+):([0-5][0-9])", one_spelling(text)):
        return Decimal(int(clock[1]) * 60 + int(clock[2]))
    return _scaled(text, IN_SECONDS, "s", "a time", "90 s, 1.5 min and 1:30", "0.0001")


def parse_degrees(text: str) -> Decimal:
    """Angle in degrees; `30`, `30°`, `30 deg`."""
    names = {"°": Fraction(1), "deg": Fraction(1), "degrees": Fraction(1)}
    return _scaled(text, names, "deg", "an angle", "30 deg, or 30 alone", "0.0001")


def parse_clock(text: str) -> Decimal:
    """Degrees clockwise from 12 o'clock; `12` is 0, `3` is 90, `4:30` and `4.5` are 135.

    Raises UnitError for anything that is no hour from 0 to 12.
    """
    plain = one_spelling(text)
    if clock := re.fullmatch(r"([0-9]{1,2}):([0-5][0-9])", plain):
        hours = Fraction(int(clock[1])) + Fraction(int(clock[2]), 60)
    elif re.fullmatch(_NUMBER, plain):
        hours = Fraction(plain)
    else:
        raise UnitError(f"{_said(text)} is no clock position; accepted are hours such as 12, 4.5 and 4:30.")
    if hours >= 13:
        raise UnitError(f"{_said(text)} is past 12 o'clock; accepted are hours such as 12, 4.5 and 4:30.")
    return _rounded(hours * 30 % 360, "0.0001")


def one_spelling(text: str) -> str:
    """The text with one kind of quote, dash, space and fraction. Raises UnitError for one longer than any figure"""
    # Two single marks are how an inch is often typed.
    plain = of_one_width(held(text)).translate(MARKS).replace("''", '"')
    for sign, fraction in TAPE_SIGNS.items():
        plain = plain.replace(sign, f" {fraction}")
    return " ".join(plain.split())


def of_one_width(text: str) -> str:
    """The text with full-width signs as common ones and a space for each sign without a width; as long as before."""
    return text.translate(WIDTHS)


def held(text: str) -> str:
    """The text, where it is no longer than any figure. Raises UnitError"""
    if len(text) > LONGEST:
        raise UnitError(f"{_said(text)}... is too long; accepted are up to {LONGEST} characters.")
    return text


def _said(text: str) -> str:
    shown = " ".join(text[:LONGEST].split())
    return f'"{shown[:40]}"' if shown else "An empty field"


def _comma_hint(plain: str) -> str:
    return " Write the decimal point as a point, and no separators between thousands." if "," in plain else ""


def _amount(amount: str, text: str) -> Fraction:
    """A whole number, a decimal or a fraction as a tape has it."""
    mixed = MIXED.fullmatch(amount)
    if not mixed:
        return Fraction(amount)
    if int(mixed[3]) not in (2, 4, 8, 16, 32, 64):
        raise UnitError(
            f"{_said(text)} is a fraction no tape has; accepted are halves, 4ths, 8ths, 16ths, 32nds, 64ths."
        )
    return int(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3]))


def _length_unit(amount: str, unit: str | None, units: str, text: str) -> str:
    name = (unit or "").lower().rstrip(".")
    if name in ("mm", "cm", "m"):
        if "/" in amount:
            raise UnitError(f"{_said(text)} is a fraction of a metric unit; {_LENGTH_FORMS}.")
        return name
    if name:
        return "ft" if name in ("ft", "feet", "foot", "'") else "in"
    if units == SI and "/" in amount:
        raise UnitError(
            f"{_said(text)} has no unit, and this job is in mm; write {amount} in for a fraction of an inch."
        )
    return "in" if units == US else "mm"


def _split(text: str, kind: str, forms: str) -> tuple[Fraction, str]:
    plain = one_spelling(text)
    found = QUANTITY.fullmatch(plain)
    if not found:
        raise UnitError(f"{_said(text)} is not {kind}; accepted are {forms}.{_comma_hint(plain)}")
    return Fraction(found[1]), found[2]


def _scaled(text: str, factors: dict[str, Fraction], bare: str, kind: str, forms: str, places: str) -> Decimal:
    """The number times the factor of its unit; a negative one is refused."""
    number, unit = _split(text, kind, forms)
    factor = factors.get(re.sub(r"\s+", "", unit).lower() or bare)
    if factor is None:
        hint = _comma_hint(unit)
        raise UnitError(f"{_said(text)} is not {kind}; accepted are {forms}.{hint}")
    if number < 0:
        raise UnitError(f"{_said(text)} is negative, which {kind} cannot be; accepted are {forms}.")
    return _rounded(number * factor, places)


# No length, time or pressure of the trade comes near; beyond some thirty figures a decimal can't be rounded at all.
_BEYOND = 10**12


def _exact(value: Fraction) -> Decimal:
    """A fraction whose denominator has only twos and fives, as a decimal without loss."""
    _refuse_beyond(value)
    return _trim(Decimal(value.numerator) / Decimal(value.denominator))


def _refuse_beyond(value: Fraction) -> None:
    if abs(value) >= _BEYOND:
        raise UnitError("The number is too large; accepted are numbers that can be measured.")


def _rounded(value: Fraction, places: str) -> Decimal:
    _refuse_beyond(value)
    quotient = Decimal(value.numerator) / Decimal(value.denominator)
    return _trim(quotient.quantize(Decimal(places), ROUND_HALF_EVEN))


def _trim(value: Decimal) -> Decimal:
    """Without trailing zeros and without an exponent."""
    if value == value.to_integral_value():
        return value.quantize(Decimal(1))
    return value.normalize()


# Half a micrometre: records keep whole micrometres, and 1/64 in is 396.875 of them.
_TAPE_TOLERANCE_MM = Decimal("0.000501")
_SHOWN_UNITS = {
    "mm": ("in", "mm"),
    "°C": ("°F", "°C"),
    "mm/min": ("in/min", "mm/min"),
    "kJ/mm": ("kJ/in", "kJ/mm"),
    "kPa": ("psi", "kPa"),
    "Δ°C": ("Δ°F", "Δ°C"),
    "MPa": ("ksi", "MPa"),
}
CONVERTED = frozenset(_SHOWN_UNITS)  # what a US job and an SI job read in different units
_US_PLACES = {"°C": "0.1", "Δ°C": "0.1", "mm/min": "0.01", "kJ/mm": "0.01", "MPa": "0.1", "kPa": "0.1"}
KSI_IN_MPA = Decimal("6.894757293168")
_TO_US: Mapping[str, Callable[[Decimal], Decimal]] = {
    **dict.fromkeys(("mm", "mm/min"), lambda value: value / MM_PER_INCH),
    **dict.fromkeys(("MPa", "kPa"), lambda value: value / KSI_IN_MPA),
    "kJ/mm": lambda value: value * MM_PER_INCH,
    "°C": lambda value: value * 9 / 5 + 32,
    "Δ°C": lambda value: value * 9 / 5,
}


def unit_shown(unit: str, units: str) -> str:
    """The unit that a person of this job reads a figure kept in `unit` in."""
    us_unit, si_unit = _SHOWN_UNITS.get(unit, (unit, unit))
    return us_unit if units == US else si_unit


def figure(value: Decimal, unit: str, units: str) -> str:
    """A figure kept in `unit`, converted to the job's units and printed without the unit."""
    if unit == "mm":
        return length_figure(value, units)
    places = _US_PLACES.get(unit, "0.001") if units == US else "0.001"
    return plain(_to_places(_converted(value, unit, units), places))


def figures_apart(value: Decimal, limit: Decimal, unit: str, units: str) -> tuple[str, str, str]:
    """A figure, its limit, and how far they are apart: with more digits than usual where those hide it."""
    apart = abs(_converted(value, unit, units) - _converted(limit, unit, units))
    usual = figure(abs(value - limit), "Δ°C" if unit == "°C" else unit, units)
    measured, bound = figure(value, unit, units), figure(limit, unit, units)
    if usual != "0" and measured != bound:
        return measured, bound, usual
    places = str(Decimal(1).scaleb(apart.adjusted() - 1))
    measured, more, apart_shown = (
        plain(_to_places(one, places))
        for one in (_converted(value, unit, units), _converted(limit, unit, units), apart)
    )
    return measured, more if measured == bound else bound, apart_shown


def _converted(value: Decimal, unit: str, units: str) -> Decimal:
    """A figure kept in `unit`, in the unit that a person of this job reads, not rounded."""
    return _TO_US[unit](value) if units == US and unit in _TO_US else value


def shown(value: Decimal, unit: str, units: str) -> str:
    """A figure with its unit, as the job shows it."""
    return f"{figure(value, unit, units)} {unit_shown(unit, units)}".rstrip()


def length_figure(mm: Decimal, units: str) -> str:
    """A length without its unit: `3-3/8` where that is exact to 1/64 in, else decimals; SI to 0.001 mm."""
    if units != US:
        return plain(_to_places(mm, "0.001"))
    sixtyfourths = (mm / MM_PER_INCH * 64).to_integral_value(ROUND_HALF_EVEN)
    if abs(sixtyfourths * MM_PER_INCH / 64 - mm) <= _TAPE_TOLERANCE_MM:
        return _tape(int(sixtyfourths))
    return plain(_to_places(mm / MM_PER_INCH, "0.001"))


def show_length(mm: Decimal, units: str) -> str:
    """A length with its unit: `3-3/8 in`, `0.126 in`, `3.2 mm`."""
    return f"{length_figure(mm, units)} {'in' if units == US else 'mm'}"


def show_computed(mm: Decimal, units: str) -> str:
    """A computed length with its unit, to 0.01 mm or 0.001 in: `4.96 mm`, `0.195 in`."""
    return f"{computed_figure(mm, units)} {'in' if units == US else 'mm'}"


def computed_figure(mm: Decimal, units: str) -> str:
    """A computed length without its unit, to 0.01 mm or 0.001 in."""
    return f"{mm / MM_PER_INCH:.3f}" if units == US else f"{mm:.2f}"


def show_feet(mm: Decimal) -> str:
    """A length in feet and inches to the nearest 1/16 in, as a cut length is called out: `2' 3-1/2"`, `7' 0-7/8"`."""
    sixteenths = int((mm / MM_PER_INCH * 16).to_integral_value(ROUND_HALF_EVEN))
    feet, rest = divmod(sixteenths, 192)
    inches = _tape(rest * 4)
    if feet and 0 < rest < 16:
        inches = f"0-{inches}"  # 7' 7/8" is read as seven and seven eighths
    return f"{feet}' {inches}\"" if feet else f'{inches}"'


def plain(value: Decimal) -> str:
    """A decimal without exponent and trailing zeros."""
    text = format(value, "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def _to_places(value: Decimal, places: str) -> Decimal:
    return value.quantize(Decimal(places), ROUND_HALF_EVEN)


def _tape(sixtyfourths: int) -> str:
    whole, part = divmod(sixtyfourths, 64)
    if not part:
        return str(whole)
    divisor = part & -part
    fraction = f"{part // divisor}/{64 // divisor}"
    return f"{whole}-{fraction}" if whole else fraction
