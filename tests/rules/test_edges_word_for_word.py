"""What a weld lacks, said word for word in the job's units: procedures, welders, fillets, units and certificates."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from rules.against_code import Asked, short_of
from rules.certificate import carbon_equivalent
from rules.cut_length import End, cut_length, end
from rules.extent import extent
from rules.fillet import socket_leg
from rules.heat_input import arc_energy
from rules.judge import findings
from rules.nearest import NotAccepted
from rules.nps import diameter_inches, inches_shown, is_within_sizes
from rules.ranges import is_short_transfer, qualification_range
from rules.sample import sample
from rules.source import Source
from rules.tables import column_called
from rules.units import SI, US, UnitError, parse_length, parse_number
from rules.welder import Need, shortfalls
from tests.rules.cast import JOB, PROCEDURE, TESTED, people, qualification, released, welder

D = Decimal
NEED = Need("GTAW", False, D("60.3"), D("5.54"), frozenset("V"), ("1",), "6", None, "", SI)


def asked(**more: object) -> Asked:
    return replace(Asked("2018", D(6), ("1",), SI), **more)  # type: ignore[arg-type]


def test_what_a_procedure_is_short_of() -> None:
    deep = replace(PROCEDURE, deposit_max_mm=D(8))
    assert [str(one) for one in short_of(deep, asked(deposit_mm=D("8.5")))] == [
        "deposit thickness 8.5 mm, at most 8 mm"
    ]
    assert short_of(deep, asked(deposit_mm=D(8))) == ()
    filler = short_of(PROCEDURE, asked(filler="E7018"))
    assert [str(one) for one in filler] == ["filler E7018 (F-4), covers ER70S-6"]
    assert [str(one) for one in short_of(PROCEDURE, asked(filler="E0000"))] == ["filler E0000, covers ER70S-6"]
    assert short_of(PROCEDURE, asked(filler="er70s-6")) == ()
    upwards = replace(PROCEDURE, progression="Uphill")
    assert [str(one) for one in short_of(upwards, asked(progression="DOWN"))] == ["progression down, covers up"]
    assert short_of(upwards, asked(progression="up")) == () == short_of(PROCEDURE, asked(progression="down"))


def short(one: object, **more: object) -> list[tuple[str, str, str, str]]:
    need = replace(NEED, **more)  # type: ignore[arg-type]
    return [(s.variable, s.measured, s.limit, s.source.clause) for s in shortfalls(one, need, "V")]  # type: ignore[arg-type]


def test_what_a_test_does_not_cover_and_by_which_clause() -> None:
    assert short(qualification()) == []
    assert short(qualification(), process="SMAW") == [("process", "SMAW", "tested by GTAW", "QW-350")]
    fillet = qualification(weld="fillet")
    assert short(fillet) == [("weld", "groove", "a fillet test qualifies fillets only", "QW-303")]
    # QW-452.3: a coupon of 60.3 qualifies from 25 mm; QW-452.1(b): 5.54 qualifies twice as much.
    assert short(qualification(), od_mm=D("21.3")) == [("outside diameter", "21.3 mm", "at least 25 mm", "QW-452.3")]
    assert short(fillet, fillet=True, od_mm=D("21.3")) == [
        ("outside diameter", "21.3 mm", "at least 25 mm", "QW-452.4")]  # fmt: skip
    assert short(qualification(), deposit_mm=D("11.5")) == [
        ("deposit thickness", "11.5 mm", "at most 11.08 mm", "QW-452.1(b)")]  # fmt: skip
    assert short(qualification(backing="yes"), backing=False)[0] == (
        "backing",
        "none",
        "tested with backing",
        "QW-402.4",
    )
    assert short(qualification(progression="up"), progression="down") == [
        ("progression", "down", "tested up", "QW-405.3")]  # fmt: skip
    assert short(qualification(progression="up"), progression="up") == []


def test_of_two_tests_in_one_position_one_that_stands_is_enough() -> None:
    gone = qualification(wpq="Q-2", status="revoked", status_on=TESTED + timedelta(1))
    both = people(welder("A1", qualification(), gone))
    assert [one.code for one in findings(released(), JOB, both)] == []
    alone = people(welder("A1", gone))
    assert {one.code for one in findings(released(), JOB, alone)} == {"stamp-suspended"}


@pytest.mark.parametrize("word", ["S", "sc", "Short circuiting", "s-c", "GMAW-S"])
def test_words_for_short_circuiting(word: str) -> None:
    assert is_short_transfer(word)
    assert not is_short_transfer("spray") and not is_short_transfer("pulsed")


def test_a_range_says_whether_backing_is_needed() -> None:
    with_backing, without = qualification_range(qualification(backing="yes")), qualification_range(qualification())
    assert "grooves with backing only" in with_backing.notes and "grooves with backing only" not in without.notes
    assert with_backing.f_numbers.endswith("with backing")


def test_the_least_leg_in_each_units() -> None:
    # 1.09 x 4.55 = 4.9595 mm, so 5 mm; 1.09 x 0.179 in = 0.195 in, so 7/32 in.
    assert socket_leg(D("4.55")).steps == ("1.09 x 4.55 mm = 4.96 mm -> 5 mm (next 0.5 mm up)",)
    inch = socket_leg(D("0.179") * D("25.4"), units=US).steps[0]
    assert inch.endswith("7/32 in (next 1/32 in up)") and "mm" not in inch


@pytest.mark.parametrize("travel", ["0", "-1"])
def test_arc_energy_needs_a_travel(travel: str) -> None:
    with pytest.raises(ValueError, match=rf"^A travel of {travel} mm/min is not possible; it must be over 0\.$"):
        arc_energy(D(12), D(100), D(travel))
    # 12 V x 100 A x 60 / (80 x 1000) = 0.9 kJ/mm
    assert arc_energy(D(12), D(100), D(80)).value == D("0.9")


def test_diameter_inches_of_no_joints() -> None:
    assert diameter_inches([("2", 0)]).value == 0
    assert diameter_inches([("1-1/2", 3), ("2", 2)]).steps == (
        "3 x NPS 1-1/2 = 4.5", "2 x NPS 2 = 4", "together 8.5 diameter-inches")  # fmt: skip
    with pytest.raises(ValueError, match=r"^-1 joints of NPS 2 are not possible; accepted are whole numbers from 0\.$"):
        diameter_inches([("2", -1)])
    assert [inches_shown(one) for one in (12, 1234.5, 0.25)] == ["12", "1,234.5", "0.25"]  # type: ignore[arg-type]
    assert is_within_sizes("2", "2", "2") and is_within_sizes("2", "", "") and not is_within_sizes("2", "3", "")


@pytest.mark.parametrize(
    ("text", "inches"),
    [("½", "0.5"), ("1¼", "1.25"), ("2 ¾", "2.75"), ("⅛", "0.125"), ("⅜", "0.375"), ("⅝", "0.625"), ("⅞", "0.875")],
)
def test_fractions_as_one_sign(text: str, inches: str) -> None:
    assert parse_length(text, US) == D(inches) * D("25.4")


def test_what_is_no_length_or_number_is_named() -> None:
    with pytest.raises(UnitError, match=r'^"-3" is negative, and a length cannot be; accepted are 1/8 in'):
        parse_length("-3", SI)
    with pytest.raises(UnitError, match=r'^"about 3" is not a length; accepted are'):
        parse_length("about 3", SI)
    with pytest.raises(UnitError, match=r'^"x" is not a number; accepted are figures such as 12, 0\.5 or -3\.'):
        parse_number("x")


def test_carbon_equivalents_by_hand() -> None:
    given = {name: D(text) for name, text in (
        ("C", "0.2"), ("Mn", "0.6"), ("Si", "0.3"), ("Cr", "0.1"), ("Mo", "0.15"), ("V", "0.05"), ("Ni", "0.3"),
        ("Cu", "0.2"), ("B", "0.001"))}  # fmt: skip
    # 0.2 + 0.1 + 0.3 / 5 + 0.5 / 15; 0.2 + 0.01 + 0.9 / 20 + 0.005 + 0.01 + 0.005 + 0.005
    ce, pcm = carbon_equivalent(given)
    assert (ce.quantize(D("0.0001")), pcm) == (D("0.3933"), D("0.280"))
    assert carbon_equivalent({}) == (0, 0)


def test_a_cut_that_just_fits_and_one_that_does_not() -> None:
    plain = End("plain", D(0), None, Source("plain end"))
    socket = End("elbow", D(10), D(12), Source("x"))
    assert cut_length(D(11), (socket, plain), D(0)).length_mm == 1
    with pytest.raises(ValueError, match=r"^The pipe does not fit: "):
        cut_length(D(10), (socket, plain), D(0))
    # Two sockets 12 deep, from bottom to bottom 24: they touch face to face; under that they would overlap.
    assert cut_length(D(44), (socket, socket), D(0)).insertion_mm == 12
    with pytest.raises(ValueError, match=r"^The pipe does not fit: the sockets would overlap by 1\.0? ?mm"):
        cut_length(D(43), (socket, socket), D(0))
    with pytest.raises(ValueError, match="A field-fit allowance of -1 mm is not possible; accepted are lengths from 0"):
        cut_length(D(100), (socket, plain), D(0), D(-1))


def test_what_has_no_butt_end_lists_what_has() -> None:
    with pytest.raises(NotAccepted) as told:
        end("half-coupling", "2", "butt", "3000", SI)
    assert "A half-coupling has sockets and does not go with joint=butt" in str(told.value)
    for name in ("elbow-90", "elbow-45", "tee", "cap", "reducer", "flange-150", "plain"):
        assert name in str(told.value)


def test_extents_say_what_is_exempt() -> None:
    hot = extent("Elevated temperature", 10, socket=4, longitudinal=2, p_number="1")
    assert "surface and longitudinal examination is asked of P-4 and P-5, not of P-1" in hot.steps
    asked_too = extent("Elevated temperature", 10, socket=4, longitudinal=2, p_number="4")
    assert not any("P-5" in step for step in asked_too.steps)


def test_a_sample_of_nothing_takes_none() -> None:
    nothing = sample(D(0), {("A1", "butt"): 5, ("B2", "butt"): 3})
    assert (nothing.size, nothing.of) == (0, {("A1",): 0, ("B2",): 0})


def test_units_of_columns() -> None:
    assert column_called("stress_ksi").endswith("(ksi)") and column_called("wall_mm").endswith("(mm)")
