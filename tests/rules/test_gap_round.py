"""The gap round a pipe from its geometry, worked by hand, and from readings of a plane."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.gap_round import from_cut, from_readings, members_square
from rules.units import US

D = Decimal
SIXTEENTH, EIGHTH = D("1.5875"), D("3.175")


def readings(*gaps: float | str | Decimal) -> dict[str, Decimal]:
    """Gaps at 12, 3, 6 and 9 o'clock."""
    return dict(zip(("12", "3", "6", "9"), (D(str(one)) for one in gaps), strict=True))


def test_a_crooked_cut_backed_off_has_its_gap_on_the_long_side() -> None:
    found = from_cut(SIXTEENTH, SIXTEENTH, units=US)
    assert (found.least_mm, found.greatest_mm) == (SIXTEENTH, EIGHTH)
    assert found.steps == ("least: backed off 1/16 in", "greatest, opposite: that + 1/16 in = 1/8 in")


def test_out_of_square_over_a_blade_is_brought_to_the_diameter() -> None:
    # 1 mm over a 100 mm blade on 60.3 mm pipe: 0.603 mm.
    found = from_cut(D(1), D("1.5"), od_mm=D("60.3"), measured_over_mm=D(100))
    assert (found.out_of_square_mm, found.greatest_mm) == (D("0.603"), D("2.103"))


@pytest.mark.parametrize(
    ("cut", "gap", "over"), [("-1", "1", None), ("1", "-1", None), ("1", "1", "0"), ("1", "1", "100")]
)
def test_refuses_what_cannot_be_measured(cut: str, gap: str, over: str | None) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        from_cut(D(cut), D(gap), measured_over_mm=D(over) if over else None)


def test_readings_at_the_extremes_are_the_extremes() -> None:
    # A plane tilted from 12 to 6: mean 2, half 1.
    found = from_readings(readings(3, 2, 1, 2))
    assert (found.least_mm, found.greatest_mm, found.out_of_square_mm) == (1, 3, 2)
    assert found.notes == ()


def test_extremes_can_lie_between_two_readings() -> None:
    # Tilted towards half past one: 12 and 3 read alike, the extremes are mean +/- sqrt(0.5² + 0.5²) = 0.7071.
    found = from_readings(readings("2.5", "2.5", "1.5", "1.5"))
    assert float(found.greatest_mm) == pytest.approx(2.7071, abs=0.0001)
    assert float(found.least_mm) == pytest.approx(1.2929, abs=0.0001)


def test_readings_that_lie_on_no_plane_are_told() -> None:
    assert "not plane" in from_readings(readings(3, 1, 3, 1)).notes[0]


def test_names_the_reading_that_is_missing() -> None:
    with pytest.raises(ValueError, match="reading at 6, 9 o'clock is missing"):
        from_readings({"12": D(1), "3": D(1)})
    with pytest.raises(ValueError, match="cannot be negative"):
        from_readings(readings(1, 1, 1, -1))


@given(st.floats(0.5, 5), st.floats(0, 0.5), st.floats(0, 360))
def test_a_planes_extremes_are_found_from_any_direction(mean: float, half: float, towards: float) -> None:
    gaps = [mean + half * math.cos(math.radians(place - towards)) for place in (0, 90, 180, 270)]
    found = from_readings(readings(*(round(one, 9) for one in gaps)))
    assert float(found.greatest_mm) == pytest.approx(mean + half, abs=1e-6)
    assert float(found.least_mm) == pytest.approx(mean - half, abs=1e-6)


@given(st.lists(st.decimals("0", "5", places=2), min_size=4, max_size=4))
def test_the_extremes_are_never_nearer_than_the_readings(gaps: list[D]) -> None:
    found = from_readings(readings(*gaps))
    assert 0 <= found.least_mm <= min(gaps) and max(gaps) <= found.greatest_mm


def test_members_are_square_when_the_inside_measurements_agree() -> None:
    assert members_square(D(500), D(500)).value
    assert members_square(D(500), D("500.5")).value
    assert not members_square(D(500), D(501)).value
    told = members_square(D(500) * D("25.4"), D("500.0625") * D("25.4"), US)
    assert told.steps == ("500 in and 500-1/16 in are 1/16 in apart, at most 1/32 in: not square",)
    assert told.source.state == "practice"
    assert members_square(D(500), D(503), agree_mm=D(3)).value


def test_refuses_a_measurement_of_nothing() -> None:
    with pytest.raises(ValueError, match="must be over 0"):
        members_square(D(0), D(1))
