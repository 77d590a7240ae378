"""Filler, passes and stops by hand."""

from decimal import Decimal
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.calculators.asked import ComputeError
from rules.compute import compute
from rules.dial import stops_apart
from rules.filler_needed import filler_needed, fillet_section, groove_section
from rules.layers import layer_of, least_passes
from rules.units import US

D = Decimal


def test_a_fillet_is_half_of_its_legs_round_the_centre_of_its_area() -> None:
    # 6 x 6 / 2 = 18 mm²; centre 2 mm off the pipe: pi x (33.4 + 4) = 117.5 mm.
    section = fillet_section(D("33.4"), D(6), D(6))
    assert section.area_mm2 == 18
    assert float(section.length_mm) == pytest.approx(pi * 37.4)
    # 18 x 117.496 = 2114.9 mm³ x 7.85 g/cm³ = 16.60 g; twelve joints 199.2 g; by GTAW at 0.90: 221.4 g.
    found = filler_needed(section, 12, "GTAW")
    assert float(found.deposited_kg) == pytest.approx(0.19923, abs=0.00002)
    assert float(found.needed_kg) == pytest.approx(0.22137, abs=0.00002)
    assert "assumptions" in found.notes[0]


def test_a_groove_is_root_bevels_and_reinforcement() -> None:
    # Wall 6, root 3, land 2, included 90°: 18 + 4² x tan 45° = 34; width 3 + 8 = 11, two thirds x 11 x 1.5 = 11: 45 mm².
    section = groove_section(
        D("114.3"), D(6), root_mm=D(3), land_mm=D(2), angle_degrees=D(90), reinforcement_mm=D("1.5")
    )
    assert float(section.area_mm2) == pytest.approx(45)
    assert float(section.length_mm) == pytest.approx(pi * 108.3)


def test_spare_and_metal_and_the_crews_own_efficiency() -> None:
    section = fillet_section(D(100), D(3), D(3))
    plain = filler_needed(section, 1, "SMAW", efficiency=D(1))
    assert plain.needed_kg == plain.deposited_kg
    assert filler_needed(section, 1, "SMAW", efficiency=D(1), spare_percent=D(10)).needed_kg == plain.needed_kg * D(
        "1.1"
    )
    heavier = filler_needed(section, 1, "SMAW", "austenitic", D(1))
    assert heavier.deposited_kg / plain.deposited_kg == pytest.approx(D(8000) / 7850)


@pytest.mark.parametrize("wrong", [{"efficiency": D(0)}, {"efficiency": D("1.1")}, {"metal": "lead"}, {"joints": -1}])
def test_refuses_assumptions_that_cannot_be(wrong: dict) -> None:
    ask = {"joints": 1, "process": "GTAW"} | wrong
    with pytest.raises(ValueError, match=r"\.$"):
        filler_needed(fillet_section(D(100), D(3), D(3)), **ask)
    with pytest.raises(ValueError, match="accepted are GTAW"):
        filler_needed(fillet_section(D(100), D(3), D(3)), 1, "GTA")
    with pytest.raises(ValueError, match="must be over 0"):
        fillet_section(D(100), D(0), D(3))
    with pytest.raises(ValueError, match="land within the wall"):
        groove_section(D(100), D(5), root_mm=D(3), land_mm=D(6), angle_degrees=D(60))


@given(st.decimals("1", "20", places=1), st.decimals("0.1", "5", places=1), st.integers(1, 50))
def test_more_weld_never_needs_less_filler(leg: D, more: D, joints: int) -> None:
    small, large = (fillet_section(D("60.3"), one, one) for one in (leg, leg + more))
    assert filler_needed(small, joints, "SMAW").needed_kg < filler_needed(large, joints, "SMAW").needed_kg
    assert filler_needed(small, joints, "SMAW").deposited_kg < filler_needed(small, joints, "SMAW").needed_kg


def test_passes_are_the_thickness_over_a_layer_rounded_up() -> None:
    assert least_passes(D(12), "SMAW").value == 4
    assert least_passes(D("12.1"), "SMAW").value == 5
    assert least_passes(D(12), "SMAW", specified=6).value == 6
    assert least_passes(D(12), "SMAW", layer_mm=D(2)).value == 6
    assert least_passes(D("12.7"), "GTAW", units=US).value == 4  # 1/2 in over 1/8 in
    assert layer_of("gmaw-s") == 3
    assert "common practice" in least_passes(D(12), "SMAW").notes[1]
    with pytest.raises(ValueError, match="must be over 0"):
        least_passes(D(0), "SMAW")
    with pytest.raises(ValueError, match="accepted are"):
        layer_of("OFW")


@given(st.decimals("0.5", "50", places=1), st.decimals("0.1", "5", places=1))
def test_a_thicker_weld_never_takes_fewer_passes(thickness: D, more: D) -> None:
    assert least_passes(thickness, "SMAW").value <= least_passes(thickness + more, "SMAW").value


def test_a_fillet_is_counted_by_its_throat() -> None:
    # 12 x 0.7071 = 8.49 mm over 3 mm: three passes.
    assert compute("least-passes", {"process": "SMAW", "leg": "12 mm"})["result"]["passes"] == 3
    with pytest.raises(ComputeError, match="a fillet its leg"):
        compute("least-passes", {"process": "SMAW"})


def test_stops_are_measured_the_short_way_round() -> None:
    # 12 to 4:30 is 135°; 4:30 to 11 is 195°, the short way 165°. A quarter turn on 60.3 mm is 47.4 mm.
    found = stops_apart([[D(0)], [D(135)], [D(330)]], D(30))
    assert (found.degrees, found.stacked) == (135, False)
    assert found.steps == ("passes 1 and 2: 135° apart", "passes 2 and 3: 165° apart", "at least 30° asked")
    quarter = stops_apart([[D(350)], [D(80)]], od_mm=D("60.3"))
    assert float(quarter.mm or 0) == pytest.approx(pi * 60.3 / 4)
    assert quarter.stacked is None


def test_the_nearest_segments_of_two_passes_count() -> None:
    assert stops_apart([[D(0), D(180)], [D(90), D(200)]], D(30)).degrees == 20
    assert stops_apart([[D(10)], [D(10)]], D(1)).stacked is True
    assert stops_apart([[D(0)], [D(30)]], D(30)).stacked is False


def test_refuses_one_pass_and_an_impossible_spacing() -> None:
    with pytest.raises(ValueError, match="Two passes or more"):
        stops_apart([[D(0)]])
    with pytest.raises(ValueError, match="accepted are 0 to 180"):
        stops_apart([[D(0)], [D(1)]], D(181))


@given(
    st.lists(st.lists(st.integers(0, 359).map(D), min_size=1, max_size=3), min_size=2, max_size=5), st.integers(0, 180)
)
def test_a_wider_spacing_never_clears_what_a_narrower_stacks(stops: list, spacing: int) -> None:
    found = stops_apart(stops, D(spacing))
    assert 0 <= found.degrees <= 180
    if found.stacked and spacing < 180:
        assert stops_apart(stops, D(spacing + 1)).stacked
