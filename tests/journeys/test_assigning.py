"""The foreman sends a welder to a joint, and reads why another may not go."""

import re

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import choose, fill, open_joint
from tests.journeys.visitor import DESK, PHONE

pytestmark = pytest.mark.journey


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_the_foreman_reads_why_a_welder_may_not_and_overrides_only_in_writing(meet: Meet, device: dict) -> None:
    foreman = meet("foreman", device)
    open_joint(foreman, "OB-BR-102/2/2").press("Assign a welder")
    lapsed = foreman.page.locator(".candidates label", has_text="D23")
    assert "may not" in lapsed.inner_text()
    assert "lapsed on 12 Aug 2026" in lapsed.inner_text()
    assert "may weld this joint" in foreman.page.locator(".candidates label", has_text="D12").inner_text()

    choose(foreman, re.compile("^D23"))
    foreman.press(re.compile("^Assign to joint"))
    summary = foreman.page.locator("#faults")
    assert "Not recorded yet" in summary.inner_text()
    assert "D23" in summary.inner_text()
    assert foreman.page.get_by_role("radio", name=re.compile("^D23")).is_checked(), "the choice is kept"

    fill(foreman, {"Why this welder": "Nobody else on the night shift; tested again tomorrow, bench weld looked at"})
    foreman.press(re.compile("^Assign to joint"))
    assert "assigned to D23, Lorne Vasket" in foreman.words
    assert "Nobody else on the night shift" in foreman.words, "the reason stands in the story of the joint"
