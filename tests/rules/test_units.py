"""What a fitter types is read exactly, and printed back as the trade writes it."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.measurable import on_a_rule, round_limit, show_limit
from rules.units import (
    SI,
    US,
    UnitError,
    figure,
    figures_apart,
    length_figure,
    parse_clock,
    parse_current,
    parse_degrees,
    parse_duration,
    parse_heat_input,
    parse_length,
    parse_number,
    parse_pressure,
    parse_stress,
    parse_temperature,
    parse_temperature_difference,
    parse_travel,
    parse_voltage,
    show_feet,
    show_length,
    unit_shown,
)

D = Decimal
PINT = pint.UnitRegistry()

LENGTHS = [
    ("1/16", US, "1.5875"),
    ("1/8", US, "3.175"),
    ('1/8"', US, "3.175"),
    ("1/8 in", SI, "3.175"),
    ('3 3/8"', US, "85.725"),
    ("3-3/8", US, "85.725"),
    ("1-1/2", US, "38.1"),
    ("2' 3-1/2\"", US, "698.5"),
    ("2'3\"", US, "685.8"),
    ("2 ft 3 in", US, "685.8"),
    ("2'", SI, "609.6"),
    ("2 ft", US, "609.6"),
    ("0.125", US, "3.175"),
    (".125 in", US, "3.175"),
    ("3.2 mm", US, "3.2"),
    ("3.2", SI, "3.2"),
    ("40 mm", SI, "40"),
    ("4 cm", SI, "40"),
    ("1.2 m", SI, "1200"),
    ("½", US, "12.7"),
    ("3⅜ in", US, "85.725"),
    ("1/64", US, "0.396875"),
    ("5/32 inch", SI, "3.96875"),
    (" 1 / 8 ", US, "3.175"),
    ("3.2 MM", SI, "3.2"),
    ("0", US, "0"),
]


@pytest.mark.parametrize(("text", "units", "mm"), LENGTHS)
def test_reads_a_length_exactly(text: str, units: str, mm: str) -> None:
    assert parse_length(text, units) == D(mm)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "abc",
        "1/0",
        "1/3",
        "3/8 mm",
        "-1/8",
        "1,5 mm",
        "1.200,5",
        "10 C",
        "5 psi",
        "NaN",
        "1e3",
        "1/8/2",
        "4' 5 mm",
        "٣",
        "--",
        '"',
    ],
)
def test_refuses_what_is_no_length_and_says_what_is_accepted(text: str) -> None:
    with pytest.raises(UnitError, match="accepted are"):
        parse_length(text, US)


def test_refuses_a_fraction_without_unit_in_a_metric_job() -> None:
    with pytest.raises(UnitError, match="write 1/8 in"):
        parse_length("1/8", SI)


def test_names_the_value_in_the_refusal() -> None:
    with pytest.raises(UnitError, match='"1/3"'):
        parse_length("1/3", US)


@pytest.mark.parametrize(
    ("text", "units", "celsius"),
    [
        ("212 F", SI, "100"),
        ("200", US, "93.3333"),
        ("93 C", US, "93"),
        ("20", SI, "20"),
        ("-20 °F", US, "-28.8889"),
        ("10 °C", US, "10"),
    ],
)
def test_reads_a_temperature(text: str, units: str, celsius: str) -> None:
    assert parse_temperature(text, units) == D(celsius)


@pytest.mark.parametrize("text", ["-500 F", "hot", "20 K", "20 bar", ""])
def test_refuses_what_is_no_temperature(text: str) -> None:
    with pytest.raises(UnitError):
        parse_temperature(text, US)


# Each way of writing a unit, and Pint's name for it: an independent reading of every factor here.
CONVERSIONS: list[tuple[Callable[[str, str], Decimal], str, dict[str, str]]] = [
    (
        parse_pressure,
        "kilopascal",
        {"psi": "psi", "psig": "psi", "ksi": "ksi", "bar": "bar", "barg": "bar", "kPa": "kilopascal"}
        | {"MPa": "megapascal", "Pa": "pascal", "N/mm2": "newton/millimeter**2"},
    ),
    (parse_stress, "megapascal", {"psi": "psi", "ksi": "ksi", "MPa": "megapascal", "bar": "bar", "kPa": "kilopascal"}),
    (
        parse_travel,
        "millimeter/minute",
        {"in/min": "inch/minute", "ipm": "inch/minute", "in./min": "inch/minute", "mm/min": "millimeter/minute"}
        | {"cm/min": "centimeter/minute", "mm/s": "millimeter/second", "m/min": "meter/minute"},
    ),
    (
        parse_heat_input,
        "kilojoule/millimeter",
        {"kJ/mm": "kilojoule/millimeter", "kJ/in": "kilojoule/inch", "J/mm": "joule/millimeter"}
        | {"J/in": "joule/inch", "kJ/cm": "kilojoule/centimeter"},
    ),
    (
        parse_length,
        "millimeter",
        {"mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", '"': "inch", "ft": "foot", "'": "foot"},
    ),
    (parse_temperature, "degC", {"F": "degF", "°F": "degF", "C": "degC", "°C": "degC"}),
    (
        parse_temperature_difference,
        "delta_degC",
        {"F": "delta_degF", "°F": "delta_degF", "C": "delta_degC", "K": "kelvin"},
    ),
    (lambda text, _: parse_current(text), "ampere", {"A": "ampere", "amps": "ampere", "kA": "kiloampere"}),
    (lambda text, _: parse_voltage(text), "volt", {"V": "volt", "volts": "volt"}),
    (lambda text, _: parse_duration(text), "second", {"s": "second", "min": "minute", "h": "hour"}),
]


@pytest.mark.parametrize(
    ("parse", "kept", "written", "unit"),
    [(parse, kept, written, unit) for parse, kept, units in CONVERSIONS for written, unit in units.items()],
)
@given(number=st.decimals("0.1", "9000", places=2))
def test_converts_as_pint_does(
    parse: Callable[[str, str], Decimal], kept: str, written: str, unit: str, number: Decimal
) -> None:
    expected = PINT.Quantity(float(number), unit).to(kept).magnitude
    assert float(parse(f"{number} {written}", SI)) == pytest.approx(expected, rel=1e-5, abs=0.00006)


@pytest.mark.parametrize(
    ("unit", "us", "pints"),
    [("mm/min", "inch/minute", "millimeter/minute"), ("kJ/mm", "kilojoule/inch", "kilojoule/millimeter")]
    + [
        ("MPa", "ksi", "megapascal"),
        ("kPa", "psi", "kilopascal"),
        ("°C", "degF", "degC"),
        ("Δ°C", "delta_degF", "delta_degC"),
    ],
)
@given(value=st.decimals("0.1", "9000", places=2))
def test_prints_as_pint_converts_and_reads_back(unit: str, us: str, pints: str, value: Decimal) -> None:
    expected = PINT.Quantity(float(value), pints).to(us).magnitude
    assert float(figure(value, unit, US)) == pytest.approx(expected, abs=0.051)
    assert figure(value, unit, SI) == format(value.normalize(), "f")


@pytest.mark.parametrize(
    ("unit", "parse", "us", "si"),
    [
        ("kPa", parse_pressure, "0.35", "0.0005"),  # half of 0.1 psi, half of 0.001 kPa
        ("MPa", parse_stress, "0.35", "0.0005"),
        ("°C", parse_temperature, "0.0279", "0.0006"),
        ("mm/min", parse_travel, "0.128", "0.0005"),
        ("kJ/mm", parse_heat_input, "0.0002", "0.0005"),
    ],
)
@given(value=st.decimals("0.1", "9000", places=3))
def test_what_is_printed_reads_back_within_its_rounding(
    unit: str, parse: Callable[[str, str], Decimal], us: str, si: str, value: Decimal
) -> None:
    for units, slack in ((US, us), (SI, si)):
        printed = f"{figure(value, unit, units)} {unit_shown(unit, units)}"
        assert abs(parse(printed, units) - value) <= D(slack), printed


@pytest.mark.parametrize(
    ("text", "units", "apart"), [("180 F", SI, "100"), ("18", US, "10"), ("-10", SI, "-10"), ("5 K", US, "5")]
)
def test_reads_a_difference_of_temperatures(text: str, units: str, apart: str) -> None:
    assert parse_temperature_difference(text, units) == D(apart)


@pytest.mark.parametrize("text", ["warm", "10 bar", ""])
def test_refuses_what_is_no_difference_of_temperatures(text: str) -> None:
    with pytest.raises(UnitError, match="is not a temperature difference; accepted are 180 F and 100 C"):
        parse_temperature_difference(text, US)


def test_reads_bare_numbers_in_the_jobs_units() -> None:
    assert parse_pressure("100", SI) == 100
    assert parse_pressure("100", US) == D("689.475729")
    assert parse_stress("485", SI) == 485
    assert parse_stress("70000", US) == D("482.633011")
    assert parse_stress("70 ksi", SI) == D("482.633011")
    assert parse_travel("4", US) == D("101.6")
    assert parse_travel("4 ipm", SI) == D("101.6")
    assert parse_heat_input("25.4", US) == 1
    assert parse_heat_input("1.5", SI) == D("1.5")
    assert parse_heat_input("1500 J/mm", US) == D("1.5")


def test_reads_amps_volts_time_and_degrees() -> None:
    assert parse_current("140 A") == 140
    assert parse_voltage("12.5V") == D("12.5")
    assert parse_duration("1:30") == 90
    assert parse_duration("1.5 min") == 90
    assert parse_degrees("30°") == 30
    assert parse_number("-3.50") == D("-3.5")


@pytest.mark.parametrize("text", ["140 V", "-140", "1,400", "lots"])
def test_refuses_what_is_no_current(text: str) -> None:
    with pytest.raises(UnitError, match="accepted are"):
        parse_current(text)


def test_hints_at_the_decimal_comma() -> None:
    with pytest.raises(UnitError, match="decimal point"):
        parse_number("1,5")


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("12", "0"), ("3", "90"), ("4.5", "135"), ("4:30", "135"), ("12:30", "15"), ("0", "0"), ("9", "270")],
)
def test_reads_the_hours_of_a_clock(text: str, degrees: str) -> None:
    assert parse_clock(text) == D(degrees)


@pytest.mark.parametrize("text", ["13", "4:60", "-1", "noon", "12.99.1", ""])
def test_refuses_what_is_no_clock_position(text: str) -> None:
    with pytest.raises(UnitError):
        parse_clock(text)


@pytest.mark.parametrize(
    ("mm", "units", "shown"),
    [
        ("3.175", US, "1/8 in"),
        ("85.725", US, "3-3/8 in"),
        ("25.4", US, "1 in"),
        ("3.2", US, "0.126 in"),
        ("0.794", US, "1/32 in"),
        ("3.2", SI, "3.2 mm"),
        ("40", SI, "40 mm"),
        ("0", US, "0 in"),
    ],
)
def test_prints_a_length_in_the_jobs_units(mm: str, units: str, shown: str) -> None:
    assert show_length(D(mm), units) == shown


def test_prints_feet_and_inches() -> None:
    assert show_feet(D("698.5")) == "2' 3-1/2\""
    # 5 x sqrt 2 = 7.0711 ft, the travel of a 45 degree offset of 5 ft: drawings write the zero inches before a fraction.
    assert show_feet(D("2155.26")) == "7' 0-7/8\""
    assert parse_length(show_feet(D("2155.875")), US) == D("2155.825")
    assert show_feet(D("304.8")) == "1' 0\"" and show_feet(D("22.225")) == '7/8"'
    assert show_feet(D("76.2")) == '3"'


def test_a_least_value_rounds_up_and_a_greatest_down() -> None:
    # 1.09 x 4.55 = 4.96 mm: 3/16 in (4.76) is too small, 7/32 in (5.56) is the next.
    assert show_limit(D("4.9595"), "least", US) == "7/32 in"
    assert show_limit(D("4.9595"), "greatest", US) == "3/16 in"
    assert show_limit(D("4.9595"), "least", SI) == "5 mm"
    assert show_limit(D("4.9595"), "greatest", SI) == "4.5 mm"
    assert show_limit(D("5"), "least", SI) == "5 mm"


def test_prints_other_quantities_in_the_jobs_units() -> None:
    assert figure(D("93.3333"), "°C", US) == "200"
    assert figure(D("101.6"), "mm/min", US) == "4"
    assert figure(D("1.5"), "kJ/mm", US) == "38.1"
    assert figure(D("413.685"), "MPa", US) == "60"
    assert figure(D("120"), "A", US) == "120"


@given(st.integers(0, 64 * 240))
def test_a_tape_measure_reads_back_what_it_shows(sixtyfourths: int) -> None:
    mm = D(sixtyfourths) * D("25.4") / 64
    assert parse_length(length_figure(mm, US), US) == mm


@given(st.integers(0, 10**7))
def test_a_metric_length_reads_back_what_it_shows(micrometres: int) -> None:
    mm = D(micrometres) / 1000
    assert parse_length(show_length(mm, SI), SI) == mm


@given(st.integers(1, 10**6), st.sampled_from([US, SI]))
def test_rounding_a_limit_never_loosens_it(micrometres: int, units: str) -> None:
    mm = D(micrometres) / 1000
    step = D("0.5") if units == SI else D("25.4") / 32
    assert mm <= round_limit(mm, "least", units) < mm + step
    assert mm - step < round_limit(mm, "greatest", units) <= mm


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    for parse in (parse_length, parse_pressure, parse_temperature, parse_travel, parse_stress, parse_heat_input):
        try:
            value = parse(text, US)
        except UnitError as refusal:
            assert str(refusal).endswith(".")
        else:
            assert value.is_finite()


@given(st.fractions(0, 100, max_denominator=64))
def test_a_length_is_never_rounded(value: Fraction) -> None:
    if value.denominator in (1, 2, 4, 8, 16, 32, 64):
        read = parse_length(f"{value.numerator}/{value.denominator}" if value.denominator > 1 else str(value), US)
        assert Fraction(read) == value * Fraction(254, 10)


@pytest.mark.parametrize("text", ["9" * 30 + " mm", "9" * 39, "1" + "0" * 12 + " mm"])
def test_refuses_a_length_of_more_figures_than_can_be_measured(text: str) -> None:
    with pytest.raises(UnitError, match="too large"):
        parse_length(text, "SI")


def test_refuses_an_endless_temperature_and_current() -> None:
    with pytest.raises(UnitError, match="too large"):
        parse_temperature("9" * 35, "SI")
    with pytest.raises(UnitError, match="too large"):
        parse_current("9" * 35)


def test_a_length_to_set_is_read_off_a_rule_to_the_nearest() -> None:
    # By hand: 10.9125 mm is 13.75/32 in, so 14/32 = 11.1125 mm; in half millimetres 21.8, so 22 = 11 mm.
    assert on_a_rule(Decimal("10.9125"), US) == Decimal("11.1125")
    assert on_a_rule(Decimal("10.9125"), SI) == Decimal("11.0")


@given(
    st.decimals(0, 500, places=4), st.decimals("0.0001", 5, places=4), st.sampled_from([US, SI]),
    st.sampled_from(["mm", "°C", "kJ/mm", "mm/min", "A", "°", "MPa"]),
)  # fmt: skip
def test_a_figure_beside_its_limit_never_hides_how_far_it_is_from_it(
    limit: Decimal, over: Decimal, units: str, unit: str
) -> None:
    measured, bound, apart = figures_apart(limit + over, limit, unit, units)
    assert apart != "0" and measured != bound


def test_a_difference_that_shows_keeps_the_usual_digits() -> None:
    assert figures_apart(D("4.7625"), D("3.175"), "mm", US) == ("3/16", "1/8", "1/16")
    assert figures_apart(D("177"), D("176.6667"), "°C", US) == ("350.6", "350", "0.6")
    assert figures_apart(D("0.8001"), D("0.8"), "mm", SI) == ("0.8001", "0.8", "0.0001")
