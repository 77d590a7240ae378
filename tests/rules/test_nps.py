"""Sizes as numbers, diameter-inches by hand, and what is accepted instead of a name, nearest first."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.nearest import nearest
from rules.nps import diameter_inches, inches_shown, is_within_sizes, nps_number
from rules.pipe import UnknownSize, parse_nps
from rules.tables import table
from rules.units import UnitError

SIZES = tuple(dict.fromkeys(row["nps"] for row in table("pipe").rows))


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("1-1/2", "3/2"),
        ("DN 40", "3/2"),
        ('1 1/2"', "3/2"),
        ("0.75", "3/4"),
        ("NPS 6", "6"),
        ("30", "30"),
        ("36 in", "36"),
    ],
)
def test_a_size_is_a_number_of_inches(text: str, inches: str) -> None:
    assert nps_number(text) == Fraction(inches)


@pytest.mark.parametrize("text", ["", "0", "-2", "large", "DN 41", "1/0", "1.5.2"])
def test_refuses_what_is_no_size(text: str) -> None:
    with pytest.raises(UnitError, match="accepted are sizes such as"):
        nps_number(text)


@pytest.mark.parametrize("size", SIZES)
def test_every_size_of_the_table_reads_back(size: str) -> None:
    assert parse_nps(f"NPS {size}") == size == parse_nps(str(float(nps_number(size))))


def test_diameter_inches_are_the_sizes_summed() -> None:
    # 12 x 1-1/2 = 18, 4 x 2 = 8, 1 x 3/4: together 26-3/4.
    found = diameter_inches([("1-1/2", 12), ("2", 4), ("3/4", 1)])
    assert found.value == Fraction(107, 4)
    assert found.steps[0] == "12 x NPS 1-1/2 = 18"
    assert inches_shown(found.value) == "26.75"
    assert found.source.state == "practice"


def test_refuses_fewer_joints_than_none() -> None:
    with pytest.raises(ValueError, match="-1 joints of NPS 2 are not possible"):
        diameter_inches([("2", -1)])


@pytest.mark.parametrize(
    ("nps", "least", "greatest", "within"),
    [
        ("2", "", "", True),
        ("2", "2", "2", True),
        ("1-1/2", "2", "", False),
        ("3", "", "2", False),
        ("DN 50", "1", "3", True),
    ],
)
def test_a_plan_speaks_of_sizes_between_its_bounds(nps: str, least: str, greatest: str, within: bool) -> None:
    assert is_within_sizes(nps, least, greatest) is within


def test_sizes_are_near_by_their_value() -> None:
    with pytest.raises(UnknownSize, match="accepted are NPS 6, 8, 5, "):
        parse_nps("7")
    with pytest.raises(UnknownSize, match="accepted are NPS 1-1/4, "):
        parse_nps("1-3/16")


def test_names_are_near_by_their_letters_and_none_is_left_out() -> None:
    assert nearest("elbow90", ["tee", "elbow-90", "plain"])[0] == "elbow-90"
    assert nearest("GTAW", ["SMAW", "gtaw"])[0] == "gtaw"
    assert sorted(nearest("zzz", ["b", "a"])) == ["a", "b"]


@given(st.text(max_size=6), st.lists(st.sampled_from([*SIZES, "STD", "80S"]), unique=True))
def test_every_accepted_name_is_listed_once(wanted: str, known: list[str]) -> None:
    assert sorted(nearest(wanted, known)) == sorted(known)


def test_a_size_given_as_dn_is_named_by_its_nps() -> None:
    assert diameter_inches([("DN50", 3), ("36", 1)]).steps[:2] == ("3 x NPS 2 = 6", "1 x NPS 36 = 36")
