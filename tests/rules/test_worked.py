"""What each calculator tells of its example, kept so that a change of it is seen: steps, notes, source and result.

worked.csv was printed by the code and holds its words: it is no second source. test_worked_by_hand.py reckons every result
of it again by the published formula; figures of standards and handbooks are held in tests/published.
"""

import csv
from pathlib import Path

import pytest

from rules.calculators.described import DESCRIBED
from rules.compute import compute

ROWS = list(csv.DictReader(Path(__file__).with_name("worked.csv").open(encoding="utf-8")))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['calculator']}-{row['units']}")
def test_an_example_is_worked_out_step_by_step(row: dict[str, str]) -> None:
    given = dict(one.split("=", 1) for one in row["given"].split("; "))
    told = compute(row["calculator"], given, units=row["units"])
    assert list(told["steps"]) == row["steps"].split(" | ")
    assert " | ".join(told["notes"]) == row["notes"]
    assert ", ".join(part for part in told["source"].values() if part) == row["source"]
    assert "; ".join(f"{key}={value}" for key, value in told["result"].items()) == row["result"]


def test_every_calculators_example_is_worked_out() -> None:
    worked = {(row["calculator"], row["given"], row["units"]) for row in ROWS}
    for name, one in DESCRIBED.items():
        given = "; ".join(f"{key}={value}" for key, value in one.example.items())
        assert {(name, given, "US"), (name, given, "SI")} <= worked, name
