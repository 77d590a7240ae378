"""Each calculator is described where pages, papers and documents take their words from, and nothing else is."""

import re
import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from docs.make_calculators import PAGE, document
from rules.calculators.asked import ComputeError
from rules.calculators.described import DESCRIBED, GROUPS
from rules.calculators.fields import FIELDS, field_of
from rules.calculators.kinds import KINDS
from rules.calculators.results import RESULTS, in_words, result_of
from rules.compute import CALCULATORS, compute
from rules.tables import table_names
from tests.rules.test_compute import EXAMPLES

KEYS = [(name, key) for name, one in CALCULATORS.items() for key in (*one.required, *one.optional)]


def test_the_calculators_page_says_what_the_code_asks_and_its_examples_are_answered() -> None:
    assert PAGE.read_text(encoding="utf-8") == document(), "run: python -m docs.make_calculators"
    examples = re.findall(r"^    python manage\.py compute (\S+) (.*)$", document(), re.MULTILINE)
    assert [name for name, _ in examples] == [
        name for group in GROUPS for name, one in DESCRIBED.items() if one.group == group
    ]
    for name, words in examples:
        values = dict(word.split("=", 1) for word in shlex.split(words))
        assert compute(name, values)["result"], name


def test_every_calculator_is_described_and_no_other() -> None:
    assert set(DESCRIBED) == set(CALCULATORS)
    assert {one.group for one in DESCRIBED.values()} == set(GROUPS)


@pytest.mark.parametrize(("name", "key"), KEYS, ids=lambda one: one)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_every_key_has_a_label_a_kind_and_an_example_that_it_accepts(name: str, key: str, units: str) -> None:
    field = field_of(name, key)
    assert field.label and field.kind in KINDS
    assert field.fault(key, field.example(units), units) is None
    if field.how.is_closed or field.how.is_picked:
        assert field.choices(), f"{key} is picked from a list that is empty"
        assert all(field.fault(key, one, units) is None for one in field.choices())


def test_no_field_and_no_result_is_described_that_nothing_asks_or_answers() -> None:
    asked = {found for name, key in KEYS for found in (f"{name}.{key}", key)}
    assert set(FIELDS) <= asked
    told = {
        found
        for name in CALCULATORS
        for key in compute(name, EXAMPLES[name])["result"]
        for found in (f"{name}.{key}", key)
    }
    assert set(RESULTS) <= told


@pytest.mark.parametrize("name", CALCULATORS)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_every_example_is_answered_in_words_and_both_unit_systems_agree(name: str, units: str) -> None:
    told = compute(name, DESCRIBED[name].example, units=units)
    lines = in_words(told, units)
    assert [line.key for line in lines] == list(told["result"])
    assert all(line.label and line.words for line in lines)
    assert [result_of(name, key).label for key in told["result"]] == [line.label for line in lines]


@pytest.mark.parametrize("name", CALCULATORS)
def test_its_tables_exist(name: str) -> None:
    assert set(DESCRIBED[name].tables) <= set(table_names())


def words(name: str, units: str, **values: str) -> dict[str, str]:
    """The answer's words by key."""
    given = {key.rstrip("_"): value for key, value in values.items()}
    return {line.key: line.words for line in in_words(compute(name, given, units=units), units)}


def test_a_least_value_rounds_up_and_a_greatest_down_in_the_units_shown() -> None:
    # 1.09 x 0.179 in = 0.19511 in, over 6/32 in: next is 7/32 in. 1.09 x 4.55 = 4.9595 mm: next is 5 mm.
    assert words("socket-leg", "US", nps="1", schedule="80")["leg_mm"] == "7/32 in"
    assert words("socket-leg", "SI", nps="1", schedule="80")["leg_mm"] == "5 mm"
    # 1.5 x 33 psi is exact; 1.33 x 33 = 43.89, and 36.3 + 3.63 = 39.93.
    pneumatic = words("test-pressure", "US", kind="pneumatic", design="33 psi")
    assert pneumatic == {"pressure": "36.3 psi", "max_pressure": "43.89 psi", "relief": "39.93 psi"}
    # H: the smaller of 1/32 in and 0.25 x 0.109 in = 0.02725 in, shown as 0.027.
    limit = words("imperfection-limit", "US", service="Normal", weld="girth", kind="undercut", wall="0.109")["limit_mm"]
    assert limit == "0.027 in"
    # The table's own US figure is 300 °F, its SI figure 149 °C (300.2 °F): neither is the other converted.
    assert words("preheat", "US", edition="2010", p="4", thickness="1/2")["preheat_c"] == "300 °F"
    assert words("preheat", "SI", edition="2010", p="4", thickness="12")["preheat_c"] == "149 °C"


def test_a_cut_length_reads_as_a_tape_does() -> None:
    # NPS 1 Class 3000: 500 - 22.5 - 22.5 - 2 x 1.5875 = 451.825 mm = 17.788 in, nearest 1/16 in: 17-13/16.
    ask = {"nps": "1", "joint": "socket", "centre": "500 mm", "end1": "elbow-90", "end2": "tee", "gap": "1/16 in"}
    assert words("cut-length", "US", **ask)["length_mm"].startswith("1' 5-13/16\"")
    assert words("cut-length", "SI", **ask)["length_mm"] == "451.8 mm"


def test_what_has_no_value_says_why() -> None:
    told = words("imperfection-limit", "SI", service="Normal", weld="girth", kind="undercut", wall="6")
    assert told["accepted"] == "not decided here, as the note says"
    assert words("examination-extent", "SI", service="Category D", girth="4", socket="0")["vt"].startswith(
        "to the exam"
    )


@pytest.mark.parametrize(
    ("name", "changes", "field", "first"),
    [
        ("pipe", {"nps": "1-3/4"}, "nps", "DN 40"),
        ("pipe", {"schedule": "85"}, "schedule", "80"),
        ("socket-leg", {"class": "2500"}, "class", "3000"),
        ("cut-length", {"end1": "elbow90"}, "end1", "elbow-90"),
        ("cut-length", {"centre": "500 kg"}, "centre", "1/8 in"),
        ("cut-length", {"end1": "flange-150", "nps": "DN 650"}, "nps", "DN 600"),
        ("throat", {"leg1": "-3"}, "leg1", "1/8 in"),
        ("carbon-equivalent", {"C": "-0.2"}, "C", "figures from 0 to 100"),
        ("carbon-equivalent", {"Mn": "300"}, "Mn", "figures from 0 to 100"),
        ("certificate-check", {"material": "A106 Gr D"}, "material", "A106 Gr B"),
        ("preheat", {"p": "7", "edition": "2010"}, "p", "8"),
        ("preheat", {"edition": "2017"}, "edition", "2016"),
        ("heat-treatment", {"p": "5C"}, "p", "5A"),
        ("heat-input", {"process": "GTWA"}, "process", "GTAW"),
        ("welder-range", {"position": "9G"}, "position", "1G"),
        ("test-pressure", {"design": "-150 psi"}, "design", "150 psi"),
        ("test-pressure", {"design": "0"}, "design", "150 psi"),
        ("continuity", {"last_used": "31/03/2026"}, "last_used", "dates such as 2026-03-31"),
        ("examination-extent", {"girth": "ten"}, "girth", "whole numbers from 0"),
        ("progressive", {"rounds": "maybe"}, "rounds", "pass"),
    ],
)
def test_a_wrong_value_is_told_of_its_field_with_the_nearest_accepted_first(
    name: str, changes: dict[str, str], field: str, first: str
) -> None:
    with pytest.raises(ComputeError) as refusal:
        compute(name, EXAMPLES[name] | changes)
    (fault,) = refusal.value.faults
    assert fault.field == field
    assert fault.accepted[0] == first
    assert str(refusal.value).startswith(f"{field}: ")


def test_every_wrong_value_is_told_at_once() -> None:
    with pytest.raises(ComputeError) as refusal:
        compute("cut-length", {"nps": "1-3/4", "joint": "glued", "centre": "", "end1": "tee", "end2": "tee"})
    assert [(fault.field, fault.is_missing) for fault in refusal.value.faults] == [
        ("centre", True), ("nps", False), ("joint", False),
    ]  # fmt: skip
    assert len(str(refusal.value).splitlines()) == 3


def test_figures_beyond_computing_are_refused_and_not_a_crash() -> None:
    with pytest.raises(ComputeError, match="too large"):
        compute("heat-input", {"volts": "900000000000", "amps": "900000000000", "travel": "0.000001"})


def typed(key: str, name: str) -> st.SearchStrategy[str]:
    """What a person may type into a field: an example, something offered, or nonsense of every kind."""
    field = field_of(name, key)
    nonsense = ["", " ", "0", "-1", "1e9", "٣", "1/0", "\x00", "999999999999", "0.000001", "many", "7 kg", "2026-02-30"]
    return st.sampled_from([field.us, field.si, *field.choices(), *nonsense])


@pytest.mark.parametrize("name", CALCULATORS)
@given(data=st.data())
def test_whatever_is_typed_is_answered_or_refused_in_a_sentence(name: str, data: st.DataObject) -> None:
    one = CALCULATORS[name]
    values = {key: data.draw(typed(key, name)) for key in (*one.required, *one.optional)}
    units = data.draw(st.sampled_from(["US", "SI"]))
    try:
        told = compute(name, values, units=units)
    except ComputeError as refusal:
        assert refusal.faults and all(fault.message for fault in refusal.faults)
    else:
        assert all(line.words for line in in_words(told, units))


METRIC = re.compile(r"[0-9] (mm|mm²|m|kg|kg/m³|°C|kJ/mm|mm/min|MPa|kPa)\b")


@pytest.mark.parametrize("name", [one for one in CALCULATORS if one != "pipe"])  # a pipe is told in both on purpose
def test_the_steps_of_a_us_job_name_no_metric_unit(name: str) -> None:
    told = compute(name, DESCRIBED[name].example, units="US")
    assert not [one for one in (*told["steps"], *told["notes"]) if METRIC.search(one)]


def test_filler_is_told_in_pounds_in_a_us_job() -> None:
    # 1/4 x 1/4 / 2 = 0.03125 in², round pi x (1.315 + 1/6) = 4.655 in, x 0.2836 lb/in³ = 0.0413 lb; / 0.90 = 0.0458.
    ask = {"section": "fillet", "nps": "1", "schedule": "80", "process": "GTAW", "leg": "1/4"}
    told = compute("filler-needed", ask, units="US")
    assert told["steps"][:2] == [
        "fillet: 1/4 x 1/4 / 2 = 0.0312 in²",
        "round its centre: pi x (1.315 + 2 x 1/4 / 3) = 4.65 in",
    ]
    assert told["steps"][2].endswith("x 0.2836 lb/in³ = 0.0413 lb a joint")
    assert words("filler-needed", "US", **ask)["filler_kg"] == "0.046 lb"


def test_throat_heat_input_stops_and_tolerances_are_told_in_inches() -> None:
    def steps(name: str, **values: str) -> list[str]:
        return compute(name, values, units="US")["steps"]

    # 1/4 x 0.7071 = 0.177 in; 12 V x 110 A x 60 / 3000 = 26.4 kJ/in; 60° of 2.375 in round = 1.24 in.
    assert steps("throat", leg1="1/4", leg2="1/4") == ["0.25 x 0.25 / sqrt(0.25² + 0.25²) = 0.177 in"]
    assert steps("heat-input", volts="12", amps="110", travel="3")[0].endswith("/ (3 in/min x 1000) = 26.4 kJ/in")
    assert steps("stop-spacing", stops="12, 2", nps="2")[-1] == "60° on 2-3/8 in: 1.24 in round the pipe"
    # ASME B16.11 in inches: 0.08 in either way for NPS 1.
    assert steps("tolerance-stack", nps="1", joint="socket", end1="elbow-90", end2="tee") == [
        "90° elbow 0.08 + tee 0.08 = 0.16 in either way"
    ]


def test_a_criterion_reads_as_the_table_prints_it() -> None:
    def told(units: str, **values: str) -> str:
        return compute("imperfection-limit", {"service": "Normal", "weld": "girth"} | values, units=units)["steps"][0]

    assert told("US", kind="crack", wall="1/4") == "none allowed (criterion A)"
    assert told("US", kind="reinforcement", wall="1/4") == "criterion L: 1/16 in"
    assert told("SI", kind="reinforcement", wall="6") == "criterion L: 1.5 mm"
    lack = {"service": "Category D", "kind": "lack-of-fusion"}
    # C: a fifth of the wall.
    assert told("US", **lack, wall="0.154") == "criterion C: 0.2 x wall 0.154 in = 0.0308 in"
    high = {"service": "High pressure", "kind": "linear", "wall": "0.5"}
    assert told("US", **high) == "criterion C: length at most 1/4 in"


def test_schedules_are_offered_from_thin_to_thick() -> None:
    # ASME B36.10M: STD and 40 are one wall up to NPS 10, XS and 80 up to NPS 8; XXS is thicker than 160 up to NPS 6.
    offered = list(FIELDS["schedule"].offered())
    assert sorted(offered, key=["5", "5S", "10", "10S", "20", "30", "STD", "40", "40S", "60", "XS", "80", "80S", "100", "120", "140", "160", "XXS"].index) == offered  # fmt: skip
    assert len(set(offered)) == len(offered)
