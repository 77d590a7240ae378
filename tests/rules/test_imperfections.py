"""Measurements against the acceptance table, in both unit systems, by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.acceptance import KINDS, SERVICES, WELDS, depth_limit, letter, undercut_limit
from rules.imperfections import judge
from rules.units import SI, US

D = Decimal
INCH = D("25.4")


def test_cumulative_length_of_incomplete_penetration_counts() -> None:
    # B: at most 38 mm in any 150 mm.
    shallow = {"measured": D("0.5"), "length": D(10)}
    assert judge("B", "incomplete-penetration", D(8), cumulative=D(38), **shallow).accepted is True
    assert judge("B", "incomplete-penetration", D(8), cumulative=D("38.1"), **shallow).accepted is False
    us = judge("B", "incomplete-penetration", D(8), US, cumulative=D("38.1"), **shallow)
    assert us.accepted is True  # 1-1/2 in is 38.1 mm
    assert us.steps[-1] == "cumulative length at most 1-1/2 in in any 6 in"


def test_cumulative_length_of_linear_indications_counts() -> None:
    # G: 4 Tw = 36 mm in 150 mm; F: Tw in 12 Tw.
    assert judge("G", "linear", D(9), length=D(10), cumulative=D(36)).accepted is True
    assert judge("G", "linear", D(9), length=D(10), cumulative=D("36.1")).accepted is False
    assert judge("F", "linear", D(9), length=D(3), cumulative=D("9.1")).accepted is False
    assert judge("F", "linear", D(9)).steps[-1] == "cumulative at most 1 Tw = 9 mm in any 12 Tw (108 mm)"


@pytest.mark.parametrize(
    ("symbol", "wall", "units", "length", "width"),
    [("F", "9", SI, "3", "2.5"), ("F", "6", SI, "2", "2"), ("G", "9", SI, "18", "3"), ("G", "5", SI, "10", "2.5")]
    + [("F", "12.7", US, "4.2333", "2.38125"), ("G", "12.7", US, "25.4", "3.175")],
)
def test_limits_of_linear_indications(symbol: str, wall: str, units: str, length: str, width: str) -> None:
    slack = D("0.001")
    found = judge(symbol, "linear", D(wall), units)
    assert float(found.limit_mm or 0) == pytest.approx(float(length), abs=0.0001)
    for over, accepted in ((-slack, True), (slack, False)):
        assert judge(symbol, "linear", D(wall), units, length=D(length) + over).accepted is accepted
        assert judge(symbol, "linear", D(wall), units, width=D(width) + over).accepted is accepted


def test_linear_indications_of_high_pressure_by_wall() -> None:
    # 6 mm to 19 mm of wall, a third of it to 57 mm, 19 mm above.
    limits = [judge("KC", "linear", D(wall)).limit_mm for wall in ("19", "30", "57", "58")]
    assert [round(float(one or 0), 3) for one in limits] == [6, 10, 19, 19]
    assert judge("KC", "linear", 3 * INCH / 4, US).limit_mm == INCH / 4


def test_later_editions_are_noted_and_do_not_reject() -> None:
    found = judge("H", "undercut", D(8), measured=D("0.5"), cumulative=D(40))
    assert found.accepted is True
    assert found.notes == ("Later editions add a cumulative length of 38 mm in 150 mm: this one is over.",)


def test_one_rounded_indication_over_its_size_is_rejected() -> None:
    # Appendix 4 from memory: isolated at most t/3, not over 6 mm; E allows half as much more over 6 mm of wall.
    assert judge("D", "porosity", D(9), measured=D("3.1")).accepted is False
    assert judge("D", "porosity", D(9), measured=D("2.9")).accepted is None
    assert judge("E", "porosity", D(9), measured=D("4.4")).accepted is None
    assert judge("E", "porosity", D(9), measured=D("4.6")).accepted is False
    assert judge("E", "porosity", D(5), measured=D("1.7")).accepted is False
    assert judge("D", "porosity", D(60), measured=D("10.1")).accepted is False
    assert "charts" in judge("D", "porosity", D(9)).undecided


def test_a_third_of_the_wall_is_exact() -> None:
    # F: Tw/3; E over 6 mm: 1.5 times t/3. At 9 mm and 8 mm of wall the limit is 3 mm and 4 mm, and 3 and 4 mm keep it.
    assert judge("F", "linear", D(9), length=D(3)).accepted is True
    assert judge("E", "porosity", D(8), measured=D(4)).accepted is None
    assert judge("E", "porosity", D(8)).limit_mm == 4


def test_a_us_job_is_judged_by_the_inch_figure() -> None:
    # 1/32 in is 0.79375 mm, not 1 mm; criterion L changes at 1/4, 1/2 and 1 in.
    assert depth_limit("H", D(12), US)[0] == INCH / 32
    assert depth_limit("H", D(12), SI)[0] == 1
    assert [depth_limit("L", wall * INCH, US)[0] for wall in (D("0.25"), D("0.5"), D(1), D(2))] == [
        INCH / 16, INCH / 8, INCH * 5 / 32, INCH * 3 / 16,
    ]  # fmt: skip
    assert depth_limit("I", D(3), US)[0] == INCH / 32  # the larger of a quarter of the wall and 1/32 in
    assert judge("A", "surface-porosity", INCH * 3 / 16, US, measured=D(1)).accepted is False
    assert judge("A", "surface-porosity", INCH * 13 / 64, US, measured=D(1)).accepted is None


def test_reinforcement_and_concavity_of_high_pressure() -> None:
    assert [depth_limit(symbol, D(wall), SI)[0] for symbol in ("KD", "KF") for wall in (13, 51, 52)] == [
        D("1.5"), 3, 4, D("1.5"), 3, 4,
    ]  # fmt: skip


@given(
    st.sampled_from(list(SERVICES)),
    st.sampled_from(WELDS),
    st.sampled_from(KINDS),
    st.decimals("1", "40", places=2),
    st.decimals("0", "30", places=2),
    st.decimals("0", "30", places=2),
    st.sampled_from([US, SI]),
)
def test_a_greater_imperfection_is_never_accepted_where_a_smaller_is_rejected(
    service: str, weld: str, kind: str, wall: D, one: D, other: D, units: str
) -> None:
    symbol = letter(service, weld, kind)
    small, large = sorted((one, other))
    if symbol == "K":  # the measure is the thickness left: more is better
        small, large = large, small
    for measure in ("measured", "length", "width", "cumulative"):
        lesser, greater = (judge(symbol, kind, wall, units, **{measure: value}).accepted for value in (small, large))
        assert not (lesser is False and greater is True)


def test_undercut_names_its_table_edition_and_conventions() -> None:
    # H: the smaller of 1 mm and a quarter of 3.91 mm.
    found = undercut_limit("Normal", "fillet", D("3.91"), SI, "2022")
    assert found.value == D("0.9775")
    assert str(found.source) == "ASME B31.3-2018 Table 341.3.2"
    assert len(found.notes) == 2
    assert undercut_limit("Severe cyclic", "girth", D(9), SI).value == 0
