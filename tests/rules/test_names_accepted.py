"""A name that there is not is refused in one sentence that says it and lists what is accepted; nothing is guessed of it."""

import pytest

from rules.calculators.asked import ComputeError
from rules.calculators.described import DESCRIBED
from rules.calculators.fields import field_of
from rules.compute import CALCULATORS, compute

# What a person calls as they like: whose figure it is, and a filler that no table has.
OWN_WORDS = {
    ("gap", "wps"), ("gap", "owner"), ("gap", "clause"), ("procedure-check", "filler"), ("procedure-check", "wps_fillers"),
}  # fmt: skip
NAMED = [
    (name, key)
    for name, one in CALCULATORS.items()
    for key in (*one.required, *one.optional)
    if field_of(name, key).kind in ("text", "choice", "nps", "class") and (name, key) not in OWN_WORDS
]
BESIDE = {("test-pressure", "nps"): {"schedule": "40", "yield": "240"}}


@pytest.mark.parametrize(("name", "key"), NAMED, ids=lambda one: one)
def test_a_name_that_there_is_not_is_refused(name: str, key: str) -> None:
    values = {**DESCRIBED[name].example, **BESIDE.get((name, key), {}), key: "qqq"}
    with pytest.raises(ComputeError) as refused:
        compute(name, values, units="SI")
    told = str(refused.value)
    assert "qqq" in told.lower() and "accepted" in told and "\n" not in told


@pytest.mark.parametrize(
    ("name", "key", "value", "nearest"),
    [
        # ASME BPVC Section IX: P-Numbers of QW-423 and QW-422, F-Numbers of QW-433 as the reference lists them.
        ("preheat", "p", "99", "62"),
        ("welder-range", "joint_p", "P-No. 12", "11"),
        ("welder-range", "f", "7", "6"),
        ("welder-range", "joint_f", "F-7", "6"),
        ("welder-range", "transfer", "sprai", "spray"),
        ("welder-range", "process", "GTA", "GTAW"),
        ("procedure-check", "wps_positions", "overhed", "overhead"),
        ("procedure-check", "wps_kinds", "buttt", "butt"),
        ("certificate-check", "a_number", "A-No. 13", "12"),
    ],
)
def test_the_nearest_name_comes_first(name: str, key: str, value: str, nearest: str) -> None:
    with pytest.raises(ComputeError) as refused:
        compute(name, {**DESCRIBED[name].example, key: value}, units="SI")
    assert refused.value.faults[0].field == key and refused.value.faults[0].accepted[0] == nearest


@pytest.mark.parametrize("written", ["8", "P8", "P-8", "p-no. 8", " P-No.8 "])
def test_a_p_number_is_read_as_it_is_written(written: str) -> None:
    # ASME B31.3-2018 Table 330.1.1: P-8, 10 °C.
    assert compute("preheat", {"p": written, "thickness": "20"}, units="SI")["result"]["preheat_c"] == 10


@pytest.mark.parametrize("written", ["6", "F6", "F-No. 6", "ER70S-6"])
def test_an_f_number_is_read_off_a_classification_too(written: str) -> None:
    # QW-432: ER70S-6 is F-No. 6, which covers itself alone (QW-433).
    asked = {**DESCRIBED["welder-range"].example, "f": written, "joint_f": "6"}
    assert compute("welder-range", asked, units="SI")["result"]["qualified"] is True
    assert compute("welder-range", asked | {"joint_f": "4"}, units="SI")["result"]["qualified"] is False


# ASME BPVC Section IX, from memory: copper alloys are P-31 to P-35 (QW-422), A-Numbers go from 1 to 12 (QW-442), and QW-250
# has these processes besides those with a heat-input factor in EN 1011-1.
@pytest.mark.parametrize("p_number", ["31", "32", "33", "P-No. 34", "35"])
def test_copper_alloys_have_p_numbers(p_number: str) -> None:
    asked = {**DESCRIBED["welder-range"].example, "p": p_number, "joint_p": p_number}
    assert compute("welder-range", asked, units="SI")["result"]["qualified"] is True


@pytest.mark.parametrize("number", [str(one) for one in range(2, 13)])
def test_every_a_number_is_known(number: str) -> None:
    asked = {"material": "ER70S-6", "C": "0.08", "a_number": f"A-No. {number}"}
    assert (
        f"The limits of A-No. {number} are not in the tables here; it is not judged."
        in compute("certificate-check", asked)["notes"]
    )


@pytest.mark.parametrize(
    ("process", "base"),
    [(one, one) for one in ("OFW", "ESW", "EGW", "LBW", "EBW")]
    + [("FCAW-G", "FCAW"), ("FCAW-S", "FCAW"), ("GMAW-P", "GMAW"), ("gmaw-s", "GMAW")],
)
def test_a_process_is_alive_by_any_of_its_variants(process: str, base: str) -> None:
    notes = compute("continuity", {"last_used": "2026-01-31", "process": process})["notes"]
    assert notes == [f"This holds for every qualification by {base}."]


# QW-452.1(b): 2 t; QW-404.32, of short-circuiting GMAW alone: 1.1 t.
@pytest.mark.parametrize(
    ("process", "most"), [("FCAW-S", 15.24), ("FCAW-G", 15.24), ("GMAW-P", 15.24), ("GMAW-S", 8.382)]
)
def test_self_shielded_wire_is_not_short_circuiting(process: str, most: float) -> None:
    test = {"process": process, "weld": "groove", "coupon": "pipe", "position": "6G", "od": "2.375", "deposit": "0.3"}
    assert compute("welder-range", test, units="US")["result"]["max_deposit_mm"] == most


def test_a_process_without_a_factor_of_heat_input_is_not_told_as_none() -> None:
    asked = {**DESCRIBED["heat-input"].example, "process": "OFW"}
    with pytest.raises(ComputeError, match='There is no heat-input factor for "OFW"; accepted are .*, or give k'):
        compute("heat-input", asked)
    assert compute("heat-input", asked | {"k": "0.8"})["result"]["heat_input"] > 0


JOINT = {"joint_kind": "butt", "nps": "4", "schedule": "40", "p": "8", "process": "SMAW"}


@pytest.mark.parametrize(
    ("key", "written"),
    [("wps_p", one) for one in ("P-No. 1, P-No. 8", "1;8", "1 8", "P-1 P-8", "5A 8", "P 1, P 8")]
    + [("wps_processes", one) for one in ("GTAW/SMAW", "GTAW + SMAW", "GTAW SMAW", "gtaw, smaw")],
)
def test_a_list_is_read_as_it_is_written(key: str, written: str) -> None:
    assert compute("procedure-check", JOINT | {key: written})["result"]["applicable"] is True
    other = {"p": "3"} if key == "wps_p" else {"process": "SAW"}
    assert compute("procedure-check", JOINT | {key: written} | other)["result"]["applicable"] is False


@pytest.mark.parametrize(
    ("key", "written", "how"),
    [
        ("wps_p", "1 to 8", "several are written 1, 8."),
        ("wps_processes", "GTAV", "several are written GTAW, SMAW."),
        ("wps_positions", "2Z", "several are written 2G, 5G."),
    ],
)
def test_a_refused_list_says_how_one_is_written(key: str, written: str, how: str) -> None:
    with pytest.raises(ComputeError) as refused:
        compute("procedure-check", JOINT | {key: written})
    assert f'"{written}"' in str(refused.value) and str(refused.value).endswith(how)


# ASME B31.3-2018 Table 330.1.1: P-5A and P-5B 150 or 200 °C by tensile strength, all other materials 10 °C.
@pytest.mark.parametrize("calculator", ["preheat", "heat-treatment"])
@pytest.mark.parametrize(
    ("p_number", "letters"),
    [("5", ("5A", "5B", "5C")), ("P-No. 9", ("9A", "9B", "9C")), ("11", ("11A", "11B"))]
    + [("10", tuple(f"10{one}" for one in "ABCEFGHIJK")), ("P15", tuple(f"15{one}" for one in "ABCDEF"))],
)
def test_a_p_number_with_letters_asks_for_its_letter(calculator: str, p_number: str, letters: tuple[str, ...]) -> None:
    with pytest.raises(ComputeError, match="alone does not say which: it has letters; accepted are") as refused:
        compute(calculator, {"p": p_number, "thickness": "20"}, units="SI")
    assert refused.value.faults[0].field == "p" and refused.value.faults[0].accepted == letters


def test_an_a_number_without_limits_here_is_not_judged() -> None:
    # The reference gives QW-442 for A-No. 1 alone.
    asked = {"material": "ER70S-6", "C": "0.08", "Mn": "1.45", "Si": "0.85"}
    notes = compute("certificate-check", asked | {"a_number": "8"}, units="SI")["notes"]
    assert "The limits of A-No. 8 are not in the tables here; it is not judged." in notes
    assert not any(
        "A-No." in one for one in compute("certificate-check", asked | {"a_number": "1"}, units="SI")["notes"]
    )
