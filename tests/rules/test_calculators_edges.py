"""What every calculator takes and tells at its edges: sizes that can't be nothing, choices, and the words of choices."""

from decimal import Decimal

import pytest

from rules.calculators.asked import ComputeError
from rules.calculators.fields import FIELDS, words
from rules.calculators.results import in_words
from rules.compute import compute

# What is measured, welded or pressed has a size; a gap, a carbon content or a number of welds may be nothing.
NEVER_NOTHING = {
    "centre", "length", "mark", "depth", "over", "one", "other", "hub", "leg1", "leg2", "actual", "wall", "deposit", "od",
    "joint_od", "joint_thickness", "least-passes.thickness", "leg", "layer", "filler-needed.leg2", "angle", "efficiency",
    "coupon_thickness", "section", "procedure-check.thickness", "procedure-check.deposit", "volts", "amps", "travel", "k",
    "thickness", "heat-treatment.thickness", "throat", "design", "st", "s", "test-pressure.yield",
}  # fmt: skip


@pytest.mark.parametrize("key", sorted(NEVER_NOTHING))
def test_what_has_a_size_is_over_nothing(key: str) -> None:
    field = FIELDS[key]
    fault = field.fault(key, "0", "SI")
    assert fault and fault.field == key
    assert fault.message == '"0" is not possible; it must be over 0.' and fault.accepted == field.how.forms
    assert field.fault(key, field.example("SI"), "SI") is None


def test_all_else_may_be_nothing() -> None:
    assert {key for key, field in FIELDS.items() if field.above} == NEVER_NOTHING
    for key in ("gap", "root", "measured", "C", "rejects", "preheat"):
        assert FIELDS[key].fault(key, "0", "SI") is None


@pytest.mark.parametrize(
    ("value", "told"),
    [
        ("elbow-90", "90° elbow (long radius if butt welded)"),
        ("elbow-45", "45° elbow"),
        ("elbow-90-short", "90° elbow, short radius"),
        ("tee-outlet", "tee, at its outlet"),
        ("reducer", "reducer, by its large end"),
        ("half-coupling", "half coupling"),
        ("flange-150", "flange Class 150"),
        ("flange-300", "flange Class 300"),
        ("plain", "plain end"),
        ("lack-of-fusion", "lack of fusion"),
        ("incomplete-penetration", "incomplete penetration"),
        ("surface-porosity", "surface porosity"),
        ("concave-root", "concave root"),
        ("linear", "linear indication"),
        ("sensitive", "sensitive leak test"),
        ("carbon", "carbon steel"),
        ("austenitic", "austenitic stainless steel"),
        ("olet", "branch fitting (olet)"),
        ("older", "older edition"),
        ("newer", "newer edition"),
        ("cap", "cap"),
    ],
)
def test_choices_in_the_trades_words(value: str, told: str) -> None:
    assert words(value) == told


def test_a_size_says_its_dn_beside_it() -> None:
    assert words("1-1/2", "nps") == "1-1/2 · DN 40"


@pytest.mark.parametrize(
    ("key", "choices"),
    [
        ("joint", ("socket", "butt")),
        ("welder-range.weld", ("groove", "fillet")),
        ("coupon", ("pipe", "plate")),
        ("backing", ("yes", "no")),
        ("side", ("hub", "face")),
        ("heat-treatment.layers", ("single", "multi")),
        ("wps_progression", ("up", "down")),
        ("edition", ("older", "newer")),
        ("test-pressure.code", ("B31.3", "B31.1")),
        ("test-pressure.kind", ("hydrostatic", "pneumatic", "sensitive")),
        ("reading", ("each", "all")),
    ],
)
def test_what_there_is_to_choose(key: str, choices: tuple[str, ...]) -> None:
    assert FIELDS[key].choices() == choices


@pytest.mark.parametrize("given", ["-1", "1.5"])
def test_a_count_is_a_whole_number(given: str) -> None:
    with pytest.raises(ComputeError) as told:
        compute("examination-extent", {"service": "Normal", "girth": given, "socket": "0"})
    [fault] = told.value.faults
    assert (fault.field, fault.accepted) == ("girth", ("whole numbers from 0",))
    assert f'"{given}"' in fault.message


def test_the_stress_that_lacks_is_asked_with_the_other() -> None:
    # 1.5 x 1000 x 138/124 = 1669.35 kPa
    both = {"kind": "hydrostatic", "design": "1000", "st": "138 MPa", "s": "124 MPa"}
    found = compute("test-pressure", both, units="SI")
    assert abs(Decimal(str(found["result"]["pressure"])) - Decimal("1669.3548")) < Decimal("0.001")
    for gone, told in (("st", "st"), ("s", "s")):
        with pytest.raises(ComputeError) as refused:
            compute("test-pressure", {key: one for key, one in both.items() if key != gone}, units="SI")
        assert [one.field for one in refused.value.faults] == [told]
    with pytest.raises(ComputeError) as zero:
        compute("test-pressure", both | {"st": "0"}, units="SI")
    assert [one.field for one in zero.value.faults] == ["st"]


def test_results_of_a_progressive_sample_are_passes_and_fails() -> None:
    answer = compute("progressive", {"rejects": "1", "rounds": "Pass, REJECTED/accepted,fail"})
    assert answer["result"]["state"] == "examine-all"
    with pytest.raises(ComputeError) as told:
        compute("progressive", {"rejects": "1", "rounds": "pass,maybe"})
    [fault] = told.value.faults
    assert (fault.field, fault.accepted) == ("rounds", ("pass", "fail"))
    assert 'there is no "maybe"; accepted are pass and fail, as pass,fail/pass,pass.' in fault.message


def test_the_state_of_a_sample_in_words() -> None:
    lines = {line.key: line.words for line in in_words(compute("progressive", {"rejects": "1"}), "SI")}
    assert "-" not in lines["state"] and lines["state"] != "two-more"


def test_a_fillet_test_in_plate_says_its_range_in_the_units_asked() -> None:
    test = {"process": "SMAW", "weld": "fillet", "coupon": "plate", "position": "2F", "deposit": "5"}
    si = " ".join(compute("welder-range", test | {"coupon_thickness": "3"}, units="SI")["steps"])
    us = " ".join(compute("welder-range", test | {"deposit": "0.2", "coupon_thickness": "1/8"}, units="US")["steps"])
    # QW-452.5: under 3/16 in (5 mm) a fillet test covers fillets up to its thickness, in base metal up to twice it.
    assert "3 mm" in si and "6 mm" in si and " in" not in si.replace(" in ", " ")
    assert "1/8 in" in us and "1/4 in" in us and "mm" not in us


def test_the_thickness_of_a_fillet_is_no_deposit() -> None:
    groove = {"process": "GTAW", "weld": "groove", "coupon": "pipe", "position": "6G", "deposit": "5", "od": "60.3"}
    joint = {"joint_kind": "socket", "joint_od": "60.3", "joint_thickness": "40"}
    assert compute("welder-range", groove | joint)["result"]["qualified"] is True
    as_butt = compute("welder-range", groove | joint | {"joint_kind": "butt"}, units="SI")["result"]
    assert as_butt["qualified"] is False and any("deposit" in one for one in as_butt["reasons"])


# EN 1011-1, table of k by process number (ISO 4063); the trade names: common practice, no source.
@pytest.mark.parametrize(
    ("names", "heat_input"),
    [
        (("121", "SAW"), 0.96),
        (("111", "114", "131", "135", "136", "138", "MMA", "stick", "MIG", "MAG"), 0.768),
        (("141", "15", "TIG", "tig"), 0.576),
    ],
)
def test_a_process_is_known_by_its_number_and_by_its_trade_name(names: tuple[str, ...], heat_input: float) -> None:
    for name in names:
        answer = compute("heat-input", {"volts": "24", "amps": "200", "travel": "300", "process": name})
        assert answer["result"] == {"arc_energy": 0.96, "heat_input": heat_input}


def test_a_class_that_is_taken_for_granted_is_told() -> None:
    said = {"nps": "1", "joint": "socket", "centre": "500", "end1": "elbow-90", "end2": "plain", "gap": "1.5"}
    assert compute("cut-length", said)["notes"] == ["class is not given: 3000 is taken."]
    assert compute("cut-length", said | {"class": "3000"})["notes"] == []
    for ends in ({"joint": "butt", "root": "3"}, {"end1": "flange-150"}):
        there = {key: value for key, value in (said | ends).items() if key != "gap" or "root" not in ends}
        assert not any("class" in note for note in compute("cut-length", there)["notes"])
