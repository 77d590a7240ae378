"""A piece's state from its records, and what it shows on a joint."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from rules.facts import PieceEventFacts, PieceFacts
from rules.judge import findings
from rules.pieces import lifting, next_events, standing
from tests.rules.cast import JOB, fitted, people, planned

DAY = date(2026, 3, 1)


def event(kind: str, **more: Any) -> PieceEventFacts:
    return replace(PieceEventFacts(f"id of {kind}", kind, DAY), **more)


# The states by hand: what a storekeeper would say of the piece after these records.
STATES = {
    (): "planned",
    ("received",): "in stock",
    ("received", "issued"): "issued",
    ("received", "issued", "cut"): "cut up",
    ("received", "issued", "cut", "returned"): "in stock",
    ("received", "on hold"): "on hold",
    ("received", "on hold", "issued"): "on hold",
    ("received", "on hold", "issued", "off hold"): "issued",
    ("issued", "split"): "split",
    ("received", "scrapped"): "scrapped",
    ("received", "scrapped", "returned"): "scrapped",
    ("on hold", "scrapped", "off hold"): "scrapped",
}


@pytest.mark.parametrize(("kinds", "state"), STATES.items(), ids=lambda value: " ".join(value) or "nothing")
def test_the_state_follows_from_the_records(kinds: tuple[str, ...], state: str) -> None:
    assert standing("3", [event(kind) for kind in kinds]).state == state


def test_a_part_begins_its_own_life_with_the_cut() -> None:
    made = event("cut", is_part=True, place="Saw")
    assert standing("3A", [made]).state == "cut to size"
    assert standing("3A", [made, event("returned", place="Rack 4")]) == standing(
        "3A", [event("cut", is_part=True), event("returned", place="Rack 4")]
    )
    assert standing("3A", [made, event("returned")]).place == "Saw"


def test_every_state_says_what_can_follow_and_nothing_follows_scrap() -> None:
    for state in STATES.values():
        assert (next_events(state) == ()) == (state == "scrapped")


def codes(piece: PieceFacts | None, joint: Any = fitted) -> list[str]:
    return [one.code for one in findings(joint(piece_b=piece), JOB, people())]


SWITCHED = {
    "piece-on-hold": (["on hold"], ["on hold", "off hold"]),
    "piece-scrapped": (["scrapped"], ["issued"]),
}


@pytest.mark.parametrize("code", SWITCHED)
def test_one_record_switches_the_finding_on_and_off(code: str) -> None:
    on, off = ([event(kind) for kind in kinds] for kinds in SWITCHED[code])
    assert codes(standing("3", on).facts) == [code]
    assert codes(standing("3", off).facts) == []
    assert codes(standing("3", on).facts, planned) == []


@pytest.mark.parametrize(("transferred", "found"), [(False, ["mark-not-transferred"]), (True, []), (None, [])])
def test_a_cut_without_its_mark_is_told_on_the_part(transferred: bool | None, found: list[str]) -> None:
    made = event("cut", is_part=True, mark_transferred=transferred)
    assert codes(standing("3A", [made]).facts) == found
    # On what was cut it says nothing: it keeps the number that the maker put on it.
    assert codes(standing("3", [replace(made, is_part=False)]).facts) == []


def test_two_holds_are_told_with_their_reasons_and_lifted_together_in_words() -> None:
    unreadable = event("on hold", remark="Certificate unreadable.")
    dented = replace(event("on hold", remark="Dent at the bevel"), id="e2", done_on=date(2026, 3, 4))
    held = standing("3", [unreadable, event("issued"), dented]).facts
    assert held is not None
    [told] = findings(fitted(piece_a=held), JOB, people())
    first, second = "2026-03-01 (Certificate unreadable)", "2026-03-04 (Dent at the bevel)"
    assert told.message == f"Piece 3 on side A is on hold since {first} and since {second}."
    assert lifting(held.holds) == f"Lifts the holds of {first} and of {second}."
    assert lifting(held.holds[1:]) == "Lifts the hold of 2026-03-04 (Dent at the bevel)."
    assert lifting(()) == "No hold is open."
    assert standing("3", [unreadable, dented, event("off hold")]).facts is None
    after = standing("3", [unreadable, event("off hold"), dented]).facts
    assert after is not None and after.holds == (dented,)


def test_the_finding_says_which_piece_which_side_and_why() -> None:
    held = standing("3", [event("on hold", remark="Certificate unreadable.")]).facts
    [told] = findings(fitted(piece_a=held), JOB, people())
    assert told.message == "Piece 3 on side A is on hold since 2026-03-01 (Certificate unreadable)."
    assert (told.severity, told.record, told.subject) == ("correct", "id of on hold", "3")
