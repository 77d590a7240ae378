"""Insertion, witness mark and growth inside a socket, by hand."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.growth import growth, in_socket
from rules.insertion import insert
from rules.pipe import UnknownSize
from rules.socket_fittings import socket_depth
from rules.source import Source
from rules.units import US

D = Decimal
TABLE = Source("ASME B16.11", "2016", "Table 1", "checked")


def test_the_pipe_goes_in_by_the_depth_less_the_gap() -> None:
    depth, source = socket_depth("1", "3000")
    found = insert(depth, D("1.5"), source)
    assert (depth, found.insertion_mm) == (D("12.5"), D("11.0"))
    # Marked at the face while bottomed, the mark stands out by the gap once backed off.
    assert (found.mark_mm, found.bottomed_mm, found.backed_off_mm) == (D("12.5"), 0, D("1.5"))


def test_the_mark_stands_clear_of_the_weld() -> None:
    # insertion 11 + leg 4.96 = 15.96 mm -> 16 mm from the end; face to mark 16 - 12.5 = 3.5, backed off 5.
    found = insert(D("12.5"), D("1.5"), TABLE, leg_mm=D("4.96"))
    assert (found.mark_mm, found.bottomed_mm, found.backed_off_mm) == (16, D("3.5"), 5)
    assert found.backed_off_mm >= D("4.96")


def test_the_mark_is_rounded_up_on_the_tape() -> None:
    # 12.5 mm is 0.492 in: the next 1/32 in is 1/2 in.
    assert insert(D("12.5"), D("1.5875"), TABLE, units=US).mark_mm == D("12.7")


def test_a_mark_that_will_not_show_is_told() -> None:
    inside = insert(D("12.5"), D("1.5"), TABLE, mark_mm=D(10))
    assert "will not show" in inside.notes[-1]
    half = insert(D("12.5"), D("3"), TABLE, mark_mm=D(11))
    assert "shows once backed off" in half.notes[-1]
    covered = insert(D("12.5"), D("1.5"), TABLE, mark_mm=D(13), leg_mm=D(5))
    assert covered.notes[-1] == "The weld will cover the mark."
    assert len(insert(D("12.5"), D("1.5"), TABLE).notes) == 1


@pytest.mark.parametrize("gap", ["12.5", "13", "-1"])
def test_refuses_a_gap_that_leaves_no_insertion(gap: str) -> None:
    with pytest.raises(ValueError, match="accepted are gaps from 0 to under the depth"):
        insert(D("12.5"), D(gap), TABLE)


def test_an_unknown_class_names_the_accepted() -> None:
    with pytest.raises(UnknownSize, match='class "9000"; accepted are 3000'):
        socket_depth("3", "9000")


@given(st.decimals("5", "20", places=2), st.decimals("0", "4", places=2), st.decimals("0", "10", places=2))
def test_the_mark_moves_out_by_the_gap_and_always_shows(depth: D, gap: D, leg: D) -> None:
    found = insert(depth, gap, TABLE, leg_mm=leg)
    assert found.insertion_mm + gap == depth
    assert found.backed_off_mm - found.bottomed_mm == gap
    assert found.bottomed_mm >= 0 and found.backed_off_mm >= leg


def test_a_hot_pipe_in_a_cold_socket_closes_the_gap() -> None:
    # Carbon steel 70 to 600 °F grows 4.60 in per 100 ft = 3.8333 mm/m: over 11 mm 0.0422 mm.
    found = in_socket("carbon", "carbon", D("21.1111"), D("315.5556"), D("21.1111"), D("12.5"), D("1.5"))
    assert float(found.pipe_mm) == pytest.approx(0.04217, abs=0.00005)
    assert found.socket_mm == 0
    assert float(found.left_mm) == pytest.approx(1.4578, abs=0.0001)


def test_pipe_and_socket_warm_alike_keep_their_gap_nearly() -> None:
    # Both grow 3.8333 mm/m: the socket by 12.5 mm worth, the pipe by 11: the gap opens by 1.5 x 0.0038333.
    hot = D("315.5556")
    found = in_socket("carbon", "carbon", D("21.1111"), hot, hot, D("12.5"), D("1.5"))
    assert float(found.left_mm) == pytest.approx(1.5 * 1.0038333, abs=0.0001)
    assert "mm left" in found.steps[-1]


def test_stainless_in_carbon_grows_apart() -> None:
    # 70 to 600 °F: austenitic 6.24, carbon 4.60 in per 100 ft.
    hot = D("315.5556")
    found = in_socket("austenitic", "carbon", D("21.1111"), hot, hot, D("12.5"), D("1.5"))
    assert float(found.closing_mm) == pytest.approx(11 * 6.24 / 1200 - 12.5 * 4.60 / 1200, abs=0.0001)
    assert growth("carbon", D("21.1111"), hot, D(1000)).source == found.source


def test_refuses_a_gap_deeper_than_its_socket() -> None:
    with pytest.raises(ValueError, match="socket 12.5 mm deep"):
        in_socket("carbon", "carbon", D(20), D(100), D(20), D("12.5"), D("12.5"))
