"""The inspector accepts one joint and rejects another; the repair is decided, welded and accepted."""

import re

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import choose, examine, fill, open_joint, state, weld
from tests.journeys.visitor import DESK, PHONE

pytestmark = pytest.mark.journey
BY_EYE = "OB-DR-601/1/6"
ON_FILM = "OB-HO-301/2/5"
LEGS = {"Leg A": "9/32", "Leg B": "9/32"}


def test_a_release_is_not_offered_but_its_reason_until_the_film_is_accepted(meet: Meet) -> None:
    inspector = meet("inspector", DESK)
    open_joint(inspector, ON_FILM)
    inspector.press("Release joint 5")
    assert "What stops it" in inspector.words and "RT" in inspector.words and "is due" in inspector.words
    assert inspector.page.get_by_role("button", name="Release joint 5").count() == 0, "nothing can be signed yet"
    assert inspector.page.get_by_role("link", name=re.compile("^Record RT")).count() == 1
    open_joint(inspector, ON_FILM)
    assert state(inspector) == "welded", "nothing was written"
    examine(inspector, "RT", "accepted", {"Examiner": "Corwin Laszlo", "Report number": "RT-1124"})
    assert state(inspector) == "accepted"
    inspector.press("Release joint 5").press("Release joint 5")
    assert state(inspector) == "released"


def test_a_rejected_joint_is_repaired_examined_again_and_accepted(meet: Meet) -> None:
    inspector = meet("inspector", PHONE)
    open_joint(inspector, BY_EYE)
    examine(inspector, "VT", "rejected", LEGS | {"Indications": "Surface pore at 4:30"})
    assert state(inspector) == "rejected"
    inspector.press("Decide the repair")
    choose(inspector, "repair the weld")
    fill(inspector, {"Why": "Grind out the pore and weld it again"})
    inspector.press("Record the decision")
    assert "repair 1" in inspector.page.locator(".state").inner_text()

    foreman = meet("foreman", DESK)
    open_joint(foreman, BY_EYE).press("Assign a welder")
    choose(foreman, re.compile("^D21"))
    foreman.press(re.compile("^Assign to joint"))

    welder = meet("hamish", PHONE)
    open_joint(welder, BY_EYE)
    weld(welder, "cap", "105", "4:30", "L-7061 · ER70S-6")
    assert state(welder) == "welded"

    open_joint(inspector, BY_EYE)
    examine(inspector, "VT", "accepted", LEGS)
    assert state(inspector) == "accepted"
    assert "Surface pore at 4:30" in inspector.words, "the first verdict stays in the story"


def test_a_correction_says_why_and_leaves_the_first_record_to_be_seen(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    open_joint(welder, "OB-BR-101/3/2")
    welder.press(re.compile("^Correct Fitted up"))
    welder.box("Root opening").fill("5/64")
    welder.press("Record the correction")
    assert "What was wrong" in welder.page.locator("#faults").inner_text(), "no correction without a reason"
    fill(welder, {"What was wrong": "Read from the wrong side of the gauge"})
    welder.press("Record the correction")
    story = welder.page.locator(".history")
    assert "5/64" in story.inner_text()
    assert "Read from the wrong side of the gauge" in story.inner_text()
    assert story.locator(".is-struck").count() == 1
