"""What the calculators say beside their figures: notes, steps, sources and faults, each worked out by hand."""

from typing import Any

import pytest

from rules.acceptance import weld_of
from rules.calculators.asked import ComputeError
from rules.calculators.results import in_words
from rules.compute import compute
from rules.cut_length import BUTT, end


def told(name: str, units: str = "SI", **values: str) -> dict[str, Any]:
    return compute(name, {key.rstrip("_"): value for key, value in values.items()}, units=units)


def words(name: str, units: str = "SI", **values: str) -> dict[str, str]:
    return {line.key: line.words for line in in_words(told(name, units, **values), units)}


def test_a_carbon_equivalent_names_what_was_not_given() -> None:
    # Pcm = 0.2 + 0.3/30 + 0.9/20 = 0.255
    answer = told("carbon-equivalent", C="0.2", Mn="0.9", Si="0.3")
    assert answer["notes"] == ["Not given and taken as none: Cr, Mo, V, Ni, Cu, B."]
    assert answer["steps"][1].endswith("= 0.2550")
    every = {"C": "0.2", "Mn": "0.9", **dict.fromkeys(("Si", "Cr", "Mo", "V", "Ni", "Cu", "B"), "0")}
    assert told("carbon-equivalent", **every)["notes"] == []


def test_the_gap_used_names_the_owners_specification_and_its_clause() -> None:
    owner = {"owner": "PS-104", "clause": "5.2", "owner_min": "1/16 in", "owner_max": "1/8 in"}
    assert told("gap", "US", measured="1/8 in", **owner)["source"]["code"] == "PS-104 5.2"
    assert told("gap", "US", measured="1/8 in", wps="W-11", wps_max="1/8 in")["source"]["code"] == "WPS W-11"
    assert told("gap", "US", measured="1/8 in", wps_max="1/8 in")["source"]["code"] == "WPS"


# QW-461.9: in pipe 5G gives F, V, O for grooves and every position for fillets; 2F gives F, H; plate 3F gives F, H, V, and
# that only from 2-7/8 in (73 mm); plate 3G gives F, V over 24 in and in plate, F in smaller pipe from 2-7/8 in, F, H, V for fillets.
@pytest.mark.parametrize(
    ("test", "positions"),
    [
        (
            {"weld": "groove", "coupon": "pipe", "position": "5G", "od": "60.3"},
            {
                "fillet under 73 mm": "all positions",
                "fillet from 73 mm": "all positions",
                "groove under 73 mm": "flat, vertical and overhead",
                "groove 73 to 610 mm": "flat, vertical and overhead",
                "groove over 610 mm and plate": "flat, vertical and overhead",
            },
        ),
        (
            {"weld": "groove", "coupon": "plate", "position": "3G"},
            {
                "fillet under 73 mm": "flat, horizontal and vertical",
                "fillet from 73 mm": "flat, horizontal and vertical",
                "groove under 73 mm": "none",
                "groove 73 to 610 mm": "flat",
                "groove over 610 mm and plate": "flat and vertical",
            },
        ),
        (
            {"weld": "fillet", "coupon": "pipe", "position": "2F", "od": "60.3"},
            {"fillet under 73 mm": "flat and horizontal", "fillet from 73 mm": "flat and horizontal"},
        ),
        (
            {"weld": "fillet", "coupon": "plate", "position": "3F"},
            {"fillet under 73 mm": "none", "fillet from 73 mm": "flat, horizontal and vertical"},
        ),
    ],
)
def test_the_positions_of_a_test_are_listed_by_weld_and_size(test: dict[str, str], positions: dict[str, str]) -> None:
    assert told("welder-range", process="GTAW", deposit="5", **test)["result"]["positions"] == positions


def test_sizes_in_the_list_of_positions_are_in_the_units_shown() -> None:
    test = {
        "process": "GTAW",
        "weld": "groove",
        "coupon": "pipe",
        "position": "5G",
        "deposit": "0.2 in",
        "od": "2.375 in",
    }
    shown = words("welder-range", "US", **test)["positions"]
    for size in ("under 2-7/8 in", "from 2-7/8 in", "2-7/8 to 24 in", "over 24 in and plate"):
        assert size in shown
    assert "mm" not in shown and " in:" not in words("welder-range", "SI", **test)["positions"]


def test_a_day_of_use_says_which_qualifications_it_keeps() -> None:
    last = {"last_used": "2026-01-31"}
    keeps = ["This holds for every qualification by GMAW."]
    assert told("continuity", process="GMAW-S", **last)["notes"] == keeps
    assert told("continuity", process="GMAW-S", as_of="2026-07-30", **last)["notes"] == keeps
    assert told("continuity", **last)["notes"] == []
    # Six months from 31 January end on 31 July; on that day it has lapsed.
    for as_of, said, state in (("2026-07-30", "is before it", "alive"), ("2026-07-31", "is not before it", "lapsed")):
        step = f"last used 2026-01-31 + 6 months = 2026-07-31; {as_of} {said}"
        assert told("continuity", as_of=as_of, **last)["steps"] == [step]
        assert words("continuity", as_of=as_of, **last)["alive"] == state


def test_a_procedures_limits_are_its_steps() -> None:
    joint = {"joint_kind": "butt", "nps": "4", "schedule": "40", "p": "1"}
    assert told("procedure-check", wps_thickness_max="10", **joint)["steps"] == ["thickness max: 10"]
    assert told("procedure-check", **joint)["steps"] == ["the procedure restricts nothing"]


def test_growth_in_a_socket_has_a_step_for_pipe_socket_and_gap() -> None:
    growth = {"nps": "1", "class_": "3000", "material": "carbon", "from_": "70 F", "to": "300 F"}
    answer = told("socket-growth", "US", **growth)
    assert [step.split()[0] for step in answer["steps"]] == ["pipe:", "socket:", "gap"]
    assert answer["notes"] == ["The socket is taken as still cold, which closes the gap most."]


@pytest.mark.parametrize(
    ("name", "values", "field", "said"),
    [
        ("diameter-inches", {"joints": "1 x 2 x 3"}, "joints", "is no size and number"),
        ("diameter-inches", {"joints": ""}, "joints", ""),
        ("sample-size", {"share": "10", "welds": "A1 butt"}, "welds", "is no welder and number"),
        ("stop-spacing", {"stops": "12, 13:99"}, "stops", ""),
        ("stop-spacing", {"stops": "12"}, "stops", "Two passes or more"),
        ("stop-spacing", {"stops": "12, 3", "spacing": "200"}, "spacing", ""),
        (
            "cut-length",
            {"nps": "2-1/2", "joint": "socket", "centre": "500 mm", "end1": "elbow-90", "end2": "tee", "class": "9000"},
            "class",
            "accepted are 3000",
        ),
        ("least-passes", {"process": "SMAW"}, "thickness", "a fillet its leg"),
        ("continuity", {"last_used": "soon"}, "last_used", "is no date"),
        ("progressive", {"rejects": "-1"}, "rejects", "whole numbers from 0"),
    ],
)
def test_a_fault_names_its_field_and_what_is_wrong(name: str, values: dict[str, str], field: str, said: str) -> None:
    with pytest.raises(ComputeError) as refusal:
        compute(name, values)
    (fault,) = refusal.value.faults
    assert fault.field == field
    assert said in str(refusal.value)


def test_a_fault_of_the_filler_is_of_the_process_or_of_the_efficiency_that_was_given() -> None:
    ask = {"section": "fillet", "nps": "1", "schedule": "80", "leg": "6 mm"}
    for given, field in (({"process": "XYZ"}, "process"), ({"process": "GTAW", "efficiency": "0"}, "efficiency")):
        with pytest.raises(ComputeError) as refusal:
            compute("filler-needed", ask | given)
        assert [one.field for one in refusal.value.faults] == [field]


# ASME B31.3 Table 341.3.2 has columns for girth and mitre, longitudinal, fillet and branch welds.
@pytest.mark.parametrize(
    ("kind", "weld"),
    [
        ("socket", "fillet"), ("slip-on", "fillet"), ("seal", "fillet"), ("attachment", "fillet"), ("pad", "fillet"),
        ("branch", "branch"), ("olet", "branch"), ("butt", "girth"), ("mitre", "girth"),
    ],
)  # fmt: skip
def test_a_kind_of_joint_has_its_column_of_the_acceptance_table(kind: str, weld: str) -> None:
    assert weld_of(kind) == weld


def test_a_weld_neck_flange_is_known_in_sizes_that_no_socket_flange_has() -> None:
    # ASME B16.5 has socket-welding flanges to NPS 3, weld-neck flanges to NPS 24.
    assert all(end("flange-150", size, BUTT, "3000").depth_mm is None for size in ("4", "8"))


def lines(name: str, units: str = "SI", **values: str) -> dict[str, tuple[str, str, str]]:
    told_here = in_words(told(name, units, **values), units)
    return {line.key: (line.words, line.exact, line.tone) for line in told_here}


def test_an_answer_shows_its_exact_figure_and_whether_it_is_good_news() -> None:
    # 12 x 6 x 6 / 2 mm2 x pi x (33.4 + 4) mm x 7850 kg/m3 = 0.1992 kg; over 0.90 0.22136 kg, shown as no less: 0.222 kg.
    fillet = {"section": "fillet", "nps": "1", "schedule": "80", "process": "GTAW", "leg": "6 mm", "joints": "12"}
    assert lines("filler-needed", **fillet)["filler_kg"] == ("0.222 kg", "0.221362 kg", "")
    assert lines("filler-needed", "US", **fillet)["filler_kg"] == ("0.489 lb", "0.221368 kg", "")
    near, far = (lines("stop-spacing", stops=stops, spacing="30")["stacked"] for stops in ("12, 12:30", "12, 6"))
    assert (near[0], near[2], far[0], far[2]) == ("stacked", "bad", "far enough apart", "good")
    growth = {"nps": "1", "class_": "3000", "material": "carbon", "from_": "70 F", "to": "300 F"}
    assert lines("socket-growth", gap="0 mm", **growth)["touches"][2] == "bad"
    assert lines("socket-growth", gap="1.5 mm", **growth)["touches"][2] == "good"
    assert lines("heat-treatment", p="4", thickness="20", edition="2018")["required"][2] == ""
    assert lines("gap", measured="3 mm", owner_max="3 mm")["accepted"][2] == "good"


def test_a_fillet_test_says_that_it_qualifies_fillets_only() -> None:
    test = {"process": "GTAW", "deposit": "5", "weld": "fillet", "coupon": "pipe", "position": "2F", "od": "60.3"}
    assert told("welder-range", **test)["steps"] == [
        "outside diameter from 25 mm (QW-452.4)", "a fillet test qualifies fillets only",
    ]  # fmt: skip


def test_a_certificate_whose_editions_agree_names_none() -> None:
    assert told("certificate-check", material="A234 WPB", C="0.2")["source"]["clause"] == ""
    assert told("certificate-check", material="A106 Gr B", C="0.2")["source"]["clause"] == "newer edition"


def test_a_letter_stands_without_the_tables_own_prefix() -> None:
    # Table K341.3.2 names its criteria A, B, ...; a K of Table 341.3.2 is a criterion of its own.
    assert (
        told("imperfection-limit", service="Normal", weld="girth", kind="concave-root", wall="6")["result"]["letter"]
        == "K"
    )
    for kind in ("undercut", "linear", "incomplete-penetration"):
        answer = told("imperfection-limit", service="High pressure", weld="girth", kind=kind, wall="6")["result"]
        assert len(answer["letter"]) == 1


def test_the_size_of_one_indication_is_its_length_where_no_length_is_given() -> None:
    # Criterion G, girth, Normal: length at most 2 Tw = 12 mm, width at most 3 mm and Tw/2.
    for given in ({"measured": "13"}, {"length": "13"}, {"measured": "11"}, {"length": "11"}):
        answer = told("imperfection-limit", service="Normal", weld="girth", kind="linear", wall="6", **given)["result"]
        assert answer["accepted"] is (next(iter(given.values())) == "11")
