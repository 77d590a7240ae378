"""A form that is wrong says so three times in the same words, keeps what was typed, and a double click writes once."""

import re

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import open_joint
from tests.journeys.visitor import DESK, PHONE

pytestmark = pytest.mark.journey
JOINT = "OB-BR-101/3/4"


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_a_wrong_form_takes_the_focus_links_to_the_field_and_keeps_what_was_typed(meet: Meet, device: dict) -> None:
    welder = meet("welder", device)
    page = welder.page
    open_joint(welder, JOINT).press(re.compile("^Record fit-up"))
    welder.box("Root opening").fill("three thou")
    welder.box("Heat read on side A").fill("T80164")
    welder.press("Record fit-up")

    summary = page.locator("#faults")
    assert summary.evaluate("one => one === document.activeElement"), "the summary has the focus"
    gap = welder.box("Root opening")
    assert gap.get_attribute("aria-invalid") == "true"
    said = page.locator(".field", has=gap).locator(".errorlist li").inner_text()
    assert said in summary.inner_text(), "the summary and the field say the same"
    assert "three thou" in said
    assert (gap.input_value(), welder.box("Heat read on side A").input_value()) == ("three thou", "T80164")
    summary.get_by_role("link", name="Root opening").click()
    assert gap.evaluate("one => one === document.activeElement"), "the link leads to the field"

    gap.fill("3/32")
    welder.press("Record fit-up")
    assert "Fit-up recorded." in welder.words


def test_a_double_click_and_the_way_back_write_one_record(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    page = welder.page
    open_joint(welder, JOINT).press(re.compile("^Record fit-up"))
    welder.box("Root opening").fill("3/32")
    form = page.locator("form[data-once]")
    sent = form.evaluate("form => Object.fromEntries(new FormData(form))")
    address = page.url
    with page.expect_navigation(url=re.compile(r"/joints/[0-9a-f-]+/$")):
        form.locator("[type=submit]").dblclick(no_wait_after=True)
    again = page.request.post(address, form=sent, headers={"Referer": address})
    assert again.ok, "the same form sent once more is no error"
    page.reload()
    assert page.locator(".entry-title", has_text="Fitted up").count() == 1
