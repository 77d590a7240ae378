"""Each calculator's example worked out: its steps, notes, source and result in both unit systems, as in worked.csv.

The arithmetic of every step was gone through by hand from the figures of the tables; the wording is that of the pages.
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
