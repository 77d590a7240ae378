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
        ("certificate-check", "a_number", "A-No. 2", "1"),
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


def test_an_a_number_without_limits_here_is_not_judged() -> None:
    # The reference gives QW-442 for A-No. 1 alone.
    asked = {"material": "ER70S-6", "C": "0.08", "Mn": "1.45", "Si": "0.85"}
    notes = compute("certificate-check", asked | {"a_number": "8"}, units="SI")["notes"]
    assert "The limits of A-No. 8 are not in the tables here; it is not judged." in notes
    assert not any(
        "A-No." in one for one in compute("certificate-check", asked | {"a_number": "1"}, units="SI")["notes"]
    )
