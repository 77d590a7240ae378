"""Legs and throats by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.compute import compute
from rules.fillet import flange_leg, governs, size_of_concave, socket_leg, throat
from rules.pipe import UnknownSize
from rules.socket_fittings import socket_wall
from rules.units import US

D = Decimal


def test_the_pipe_wall_governs_in_its_paired_class() -> None:
    leg = socket_leg(D("4.55"), socket_wall("1", "3000"))
    assert leg.value == D("4.9595")
    assert leg.steps == ("1.09 x 4.55 mm = 4.96 mm, not over the socket wall 4.98 mm -> 5 mm (next 0.5 mm up)",)
    assert str(leg.source) == "ASME B31.3 Fig. 328.5.2C"


def test_the_socket_wall_governs_under_heavier_pipe() -> None:
    leg = socket_leg(D("6.35"), socket_wall("1", "Class 3000"))
    assert leg.value == D("4.98")
    assert "governs" in leg.steps[0]
    assert leg.source.state == "memory"
    assert governs(D("6.35"), D("4.98")) == "socket wall"


def test_without_a_class_the_pipe_wall_alone_counts() -> None:
    assert socket_leg(D("6.35")).value == D("6.9215")
    assert governs(D("6.35"), None) == "pipe wall"


def test_b31_1_has_no_socket_wall() -> None:
    leg = socket_leg(D("6.35"), D("4.98"), code="B31.1")
    assert leg.value == D("6.9215")
    assert str(leg.source) == "ASME B31.1 Fig. 127.4.4(C) (from memory)"


def test_the_leg_is_shown_in_the_jobs_units() -> None:
    assert socket_leg(D("4.5466"), units=US).steps[0].endswith("-> 7/32 in (next 1/32 in up)")


def test_a_flange_asks_for_more_than_a_fitting() -> None:
    assert flange_leg(D("4.55")).value == D("6.370")
    assert flange_leg(D("4.55"), D("5")).value == 5
    assert flange_leg(D("7.11"), side="face").value == 6
    assert flange_leg(D("7.11"), side="face", units=US).value == D("6.35")
    assert flange_leg(D("3.91"), side="face").value == D("3.91")


def test_refuses_an_impossible_wall_and_another_side() -> None:
    with pytest.raises(ValueError, match="must be over 0"):
        socket_leg(D(0))
    with pytest.raises(ValueError, match="accepted are hub and face"):
        flange_leg(D(4), side="back")


def test_names_the_classes_of_a_size() -> None:
    with pytest.raises(UnknownSize, match='class "6000"; accepted are 3000'):
        socket_wall("4", "6000")


def test_the_throat_is_the_height_of_the_triangle() -> None:
    # 6 x 8 / 10 = 4.8, the triangle 6-8-10.
    assert throat(D(6), D(8)).value == D("4.8")
    assert float(size_of_concave(D("3.5"))) == pytest.approx(4.95, abs=0.01)


@given(st.decimals("0.5", "30", places=2), st.decimals("0.5", "30", places=2))
def test_a_throat_is_under_both_legs_and_grows_with_them(a: Decimal, b: Decimal) -> None:
    value = throat(a, b).value
    assert value < min(a, b)
    assert throat(a + 1, b).value > value


@given(st.decimals("0.5", "30", places=2), st.decimals("0.5", "30", places=2))
def test_a_leg_never_exceeds_either_wall_rule(wall: Decimal, socket: Decimal) -> None:
    leg = socket_leg(wall, socket).value
    assert leg == min(D("1.09") * wall, socket)


def test_a_concave_fillet_is_never_larger_than_its_smaller_leg() -> None:
    # 4.5 x sqrt(2) = 6.36, but a leg is 6.
    ask = {"leg1": "6", "leg2": "9", "actual": "4.5"}
    assert compute("throat", ask)["result"] == {"throat_mm": 4.5, "size_mm": 6}
    told = compute("throat", ask | {"actual": "5.5"})
    assert told["steps"][-1].startswith("convex: 0.51 mm over the theoretical throat")


def test_another_codes_leg_is_refused() -> None:
    with pytest.raises(ValueError, match="accepted are B31.3, B31.1"):
        socket_leg(D(4), code="B31.9")
