"""Choices that each stand in one line of code: who acts, positions, services, units of a figure, and the row it is from."""

from dataclasses import replace
from decimal import Decimal

import pytest

from rules.acceptance import service_of, table_source
from rules.acting import acts_on
from rules.attempts import is_repair, live
from rules.calculators.asked import ComputeError
from rules.calculators.results import in_words
from rules.compute import compute
from rules.cut_length import end
from rules.extent import services
from rules.filler_needed import groove_section
from rules.imperfections import judge
from rules.interval import share_told
from rules.judge import findings
from rules.limits import listed
from rules.pipe import UnknownSize
from rules.points import CODE as POINT_OPEN
from rules.positions import ALL, allowed, needed
from rules.socket_fittings import fitting, socket_wall
from rules.specification import narrowed
from rules.units import SI, US
from tests.rules.cast import JOB, PASSES, PROCEDURE, people, released, weld_pass

D = Decimal
INSPECTORS = (
    "leg-too-small", "undercut-too-deep", "examination-rejected", "examination-due", "extra-examination-due",
    "sample-short", "piece-on-hold", "piece-scrapped", "mark-not-transferred", "release-missing",
    "examiner-not-certified", "verdict-differs",
)  # fmt: skip
FOREMANS = (
    "fit-up-missing", "gap-out-of-range", "squareness-out-of-range", "high-low-out-of-range", "superseded-revision",
    "heat-mismatch", "pass-out-of-range", "filler-mismatch", "pass-order", "stops-stacked", "too-few-passes",
    "lot-not-issued", "record-order",
)  # fmt: skip


@pytest.mark.parametrize(("role", "codes"), [("inspector", INSPECTORS), ("foreman", FOREMANS)])
def test_who_acts_on_what(role: str, codes: tuple[str, ...]) -> None:
    assert {code: acts_on(code) for code in codes} == dict.fromkeys(codes, role)


def test_the_owner_acts_on_an_open_point_and_the_engineer_on_the_rest() -> None:
    assert acts_on(POINT_OPEN) == "owner"
    for code in ("heat-missing", "certificate-missing", "procedure-missing", "welder-not-qualified", "anything new"):
        assert acts_on(code) == "engineer"


@pytest.mark.parametrize(
    ("position", "letters"),
    [
        ("1G", "F"), ("2G", "H"), ("3G", "V"), ("4G", "O"), ("5G", "FVO"), ("6G", "FHVO"), ("1F", "F"), ("2F", "H"),
        ("2FR", "H"), ("3F", "V"), ("4F", "O"), ("5F", "HVO"), ("6F", "FHVO"), ("2G+5G", "FHVO"), ("1g, 3g", "FV"),
        ("flat", "F"), ("Overhead", "O"), ("h", "H"), ("all", "FHVO"), ("aside", ""), ("", ""),
    ],
)  # fmt: skip
def test_what_a_position_needs(position: str, letters: str) -> None:
    assert needed(position) == frozenset(letters)


def test_what_a_procedure_allows() -> None:
    everywhere = ALL | {"S"}  # a special position too
    assert allowed((), fillet=False) == everywhere and allowed(("1G", "2G"), fillet=False) == frozenset("FH")
    assert allowed(("5g",), fillet=True) == everywhere == allowed((" 5F ",), fillet=True)
    assert allowed(("5G",), fillet=False) == frozenset("FVO") and allowed(("2F",), fillet=True) == frozenset("H")


def test_severe_cyclic_conditions_come_before_the_service_but_high_pressure() -> None:
    assert service_of("Category D", severe_cyclic=False) == "Category D"
    assert service_of("Category M", severe_cyclic=True) == "Severe cyclic" == service_of("", severe_cyclic=True)
    assert service_of("High pressure", severe_cyclic=True) == "High pressure"
    assert service_of("of another kind", severe_cyclic=False) == "Normal"
    assert "Normal" in services()


def test_the_source_of_a_criterion_is_its_table_by_service() -> None:
    assert table_source("High pressure").clause == "Table K341.3.2"
    assert table_source("Normal").clause == "Table 341.3.2"
    whole, of_weld = table_source("Normal"), table_source("Normal", weld="fillet")
    assert [name for name, _ in whole.tables] == [name for name, _ in of_weld.tables]
    assert "fillet" in of_weld.tables[0][1] and of_weld.tables[0] != whole.tables[0]


# ASME B16.11: an NPS 2 Class 3000 elbow 38.0 mm, 1.50 in; B16.9: an NPS 2 long elbow 76 mm, 3.00 in, within 0.06 in.
@pytest.mark.parametrize(
    ("name", "joint", "units", "takeout", "tolerance"),
    [
        ("elbow-90", "butt", SI, D(76), D(2)),
        ("elbow-90", "butt", US, D("3.00") * D("25.4"), D("0.06") * D("25.4")),
        ("reducer", "butt", US, D("3.00") * D("25.4"), None),
        ("cap", "butt", SI, D(38), None),
        ("elbow-90", "socket", SI, D(38), D(2)),
        ("elbow-90", "socket", US, D("1.50") * D("25.4"), D("0.08") * D("25.4")),
    ],
)
def test_an_end_by_the_figures_of_its_units(name: str, joint: str, units: str, takeout: D, tolerance: D | None) -> None:
    one = end(name, "2", joint, "3000", units)
    assert one.takeout_mm == takeout
    assert one.tolerance_mm == tolerance


def test_a_size_that_a_table_lacks_lists_the_nearest_first() -> None:
    with pytest.raises(
        UnknownSize, match=r"^There is no Class 150 flange DN 600; accepted are DN 300, DN 250, "
    ) as told:
        end("flange-150", "24", "butt", "", SI)
    assert told.value.accepted and "DN 600" not in told.value.accepted
    with pytest.raises(UnknownSize, match=r"^There is no butt-welding elbow-90-short NPS 1/2; accepted are NPS "):
        end("elbow-90-short", "1/2", "butt", "", US)


def test_the_row_of_a_socket_is_named_by_size_and_class() -> None:
    assert (fitting("2", "3000")["nps"], fitting("2", "6000")["class"]) == ("2", "6000")
    assert socket_wall("1", "6000", SI) > socket_wall("1", "3000", SI)
    assert (
        end("coupling", "1", "socket", "3000", SI).source.tables
        != end("coupling", "1", "socket", "6000", SI).source.tables
    )


def test_a_groove_without_bevels_is_its_root_and_its_reinforcement() -> None:
    # 3 x 6 of root, and 2/3 of 3 x 1.5 on top: 18 + 3 = 21 mm².
    section = groove_section(D("60.3"), D(6), root_mm=D(3), land_mm=D(0), angle_degrees=D(0), reinforcement_mm=D("1.5"))
    assert section.area_mm2 == 21
    for wrong in (D(-1), D(180)):
        with pytest.raises(ValueError, match="the angle under 180 degrees"):
            groove_section(D("60.3"), D(6), root_mm=D(3), land_mm=D(0), angle_degrees=wrong)


def test_what_was_not_a_service_or_unit_is_said() -> None:
    with pytest.raises(ComputeError) as told:
        compute("pipe", {"nps": "2", "schedule": "40"}, units="metric")
    [fault] = told.value.faults
    assert (fault.field, fault.message, fault.accepted) == (
        "units", 'There are no units "metric"; accepted are US and SI.', ("US", "SI"))  # fmt: skip
    with pytest.raises(ComputeError) as day:
        compute("continuity", {"last_used": "yesterday"})
    assert [(one.field, one.accepted) for one in day.value.faults] == [("last_used", ("dates such as 2026-03-31",))]


def test_heat_input_by_length_in_each_units() -> None:
    weld = {"volts": "12", "amps": "100", "travel": "80", "process": "GTAW"}
    si = {one.key: one.words for one in in_words(compute("heat-input", weld, units="SI"), "SI")}
    us = {one.key: one.words for one in in_words(compute("heat-input", weld | {"travel": "4"}, units="US"), "US")}
    # 12 x 100 x 60 / 80 / 1000 = 0.9 kJ/mm; at 4 in/min 18 kJ/in.
    assert "0.9 kJ/mm" in si.values() and "18 kJ/in" in us.values()


def test_the_code_s_gap_is_that_of_the_units() -> None:
    asked = {"nps": "1", "joint": "socket", "class": "3000", "end1": "elbow-90", "end2": "elbow-90"}
    si = compute("cut-length", asked | {"centre": "500"}, units="SI")["result"]["length_mm"]
    us = compute("cut-length", asked | {"centre": "20"}, units="US")["result"]["length_mm"]
    # 500 - 2 x 22.5 - 2 x 1.5; 20 in - 2 x 0.88 - 2 x 1/16.
    assert si == 452 and abs(D(str(us)) - (20 - 2 * D("0.88") - D("0.125")) * D("25.4")) < D("0.01")


def test_shares_in_words() -> None:
    assert share_told(0, 1000).startswith("0 of 1000, 95 %: 0 % to 0.4 %")
    assert share_told(2, 16) == "2 of 16, 95 %: 3.5 % to 36 %"
    assert [listed(names) for names in ((), ("a",), ("a", "b"), ("a", "b", "c"))] == ["", "a", "a and b", "a, b and c"]


def test_the_metal_that_is_in_the_line() -> None:
    assert live(("0", "R1")) == ("0", "R1") and live(("0", "R1", "W1", "R2")) == ("W1", "R2")
    assert is_repair("R1") and not is_repair("W1") and not is_repair("0")


def test_passes_at_one_place_of_the_order_are_segments_of_one() -> None:
    halves = (weld_pass(1, "root"), weld_pass(1, "root", id="p1b", start_degrees=D(300)), *PASSES[1:])
    assert "pass-order" not in {one.code for one in findings(released(passes=halves), JOB, people())}


def test_travel_and_amps_are_held_each_to_its_own_row() -> None:
    rows = tuple(replace(one, travel_min=D(60), travel_max=D(100)) for one in PROCEDURE.passes)
    joint = released(procedure=replace(PROCEDURE, passes=rows))
    assert findings(joint, JOB, people()) == []
    slow = replace(joint, passes=(replace(PASSES[0], travel_mm_min=D(59)), *PASSES[1:]))
    told = [one for one in findings(slow, JOB, people()) if one.code == "pass-out-of-range"]
    assert [one.record for one in told] == ["p1"] and told[0].message.startswith("Travel")


def test_no_specification_sets_nothing() -> None:
    assert narrowed((), "socket", "Normal", severe_cyclic=False).limits == {}


def test_a_criterion_that_is_not_evaluated_judges_nothing() -> None:
    free = judge("", "undercut", D(6), SI, measured=D(5))
    assert (free.limit_mm, free.accepted) == (None, None)
