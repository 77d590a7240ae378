"""Facts of the trade without a published source: the tool must agree with them, and never pass them off as a code's."""

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rules.compute import compute
from rules.judge import findings
from tests.published.rows import ASKED, answer
from tests.rules.cast import JOB, PASSES, D, people, welded

ROWS = list(csv.DictReader(Path(__file__).with_name("practice.csv").open(encoding="utf-8")))


def told_in_inches(**limits: str) -> dict[str, Any]:
    """What the gap's calculator tells a US job of an eighth."""
    ASKED.append("gap")
    return compute("gap", {"measured": "1/8 in", **limits}, units="US")


def socket_gap() -> None:
    told = told_in_inches(owner_min="1/8 in", owner_max="1/8 in")
    assert (told["result"]["used"], told["result"]["accepted"]) == ("owner", True)
    assert told["result"]["code_mm"] == pytest.approx(25.4 / 16)
    assert told["source"]["state"] == "job"
    # Without the owner's word the code's figure stands, and an eighth neither passes nor fails by it.
    alone = told_in_inches()
    assert (alone["result"]["used"], alone["result"]["accepted"]) == ("code", None)
    # What is not given is the code's figure, never the crew's habit.
    assert answer("insertion", nps="1", class_="3000")["insertion_mm"] == 11.0


def witness_mark() -> None:
    found = answer("insertion", nps="1", class_="3000", gap="1/8 in", mark="12.5 mm")
    assert (found["mark_bottomed_mm"], found["mark_backed_off_mm"]) == (0, 3.175)


def crooked_cut() -> None:
    found = answer("crooked-cut", out_of_square="1/8 in", gap="0 in")
    assert (found["least_mm"], found["greatest_mm"]) == (0, 3.175)
    for gap in (found["least_mm"], 0.0):
        assert answer("gap", measured=f"{gap} mm", owner_min="1/16 in", owner_max="1/8 in")["accepted"] is False


def too_little_or_too_much() -> None:
    for gap in ("1/16 in", "3/16 in"):
        assert answer("gap", measured=gap, owner_min="1/8 in", owner_max="1/8 in")["accepted"] is False


def currents() -> None:
    energies = [
        answer("heat-input", volts="11", amps=str(amps), travel="80")["arc_energy"]
        for amps in (150, 140, 130, 125, 120)
    ]
    assert energies == sorted(energies, reverse=True) and len(set(energies)) == len(energies)


def stops() -> None:
    stacked = tuple(replace(one, stop_degrees=D(90), start_degrees=D(90)) for one in PASSES)
    ASKED.append("finding stops-stacked")
    assert "stops-stacked" in {one.code for one in findings(welded(passes=stacked), JOB, people())}


def undercut() -> None:
    found = answer(
        "imperfection-limit", service="Normal", weld="fillet", kind="undercut", wall="4.55", measured="3/64 in"
    )
    assert found["accepted"] is False


def members() -> None:
    assert answer("squareness", one="24 in", other="24 in")["square"] is True
    assert answer("squareness", one="24 in", other="24-1/8 in")["square"] is False


CHECKS: dict[str, Callable[[], None]] = {
    "socket gap": socket_gap,
    "witness mark": witness_mark,
    "crooked cut": crooked_cut,
    "too little or too much gap": too_little_or_too_much,
    "currents of small-bore carbon steel by GTAW": currents,
    "starts and stops": stops,
    "undercut at the pipe's edge": undercut,
    "two members square": members,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_fact_of_the_trade_is_met(row: dict[str, str]) -> None:
    assert (row["source"], row["state"]) == ("common practice", "practice")
    CHECKS[row["topic"]]()


def test_every_fact_is_checked() -> None:
    assert {row["topic"] for row in ROWS} == set(CHECKS)
