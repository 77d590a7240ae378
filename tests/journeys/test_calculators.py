"""The calculators on a phone and at a desk: the answer while one types, what is wrong, the paper, and no script at all."""

from typing import Any
from urllib.parse import urlencode

import pypdfium2
import pytest
from playwright.sync_api import expect

from rules.calculators.described import DESCRIBED
from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB
from tests.journeys.visitor import DESK, PHONE, Visitor

pytestmark = pytest.mark.journey
CODE = JOB.strip("/").partition("/")[2]
DEVICES = pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])


def to_cut_length(person: Visitor) -> Visitor:
    """Follow the menu of the job to the cut length."""
    ways = person.page.get_by_role("navigation")
    if (menu := ways.locator("summary", has_text="Menu")).is_visible():
        menu.click()
    with person.page.expect_navigation():
        ways.get_by_role("link", name="Calculators").click()
    return person.look().press("Length to cut between two fittings")


@DEVICES
def test_a_cut_length_is_answered_while_it_is_typed(meet: Meet, device: Any) -> None:
    fitter = to_cut_length(meet("welder", device))
    page, said = fitter.page, fitter.page.locator("#said")
    fitter.box("Nominal size").select_option("1")
    expect(said).to_contain_text("Still needed: Welded by")
    fitter.box("Welded by").select_option("socket")
    fitter.box("Fitting at one end").select_option("elbow-90")
    fitter.box("Fitting at the other end").select_option("tee")
    fitter.box("Centre to centre (in)").fill("500 kg")
    expect(page.locator("#id_centre")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#id_centre_error")).to_contain_text('"500 kg" is not a length')
    expect(page.locator("#id_centre")).to_be_focused()
    fitter.look()
    fitter.box("Centre to centre (in)").fill("500 mm")
    # NPS 1 Class 3000: 500 - 2 x 22.5 - 2 x 1.5875 = 451.825 mm, to the nearest 1/16 in 17-13/16.
    expect(said).to_contain_text("1' 5-13/16\"")
    expect(page.locator("#id_centre")).not_to_have_attribute("aria-invalid", "true")
    expect(page.locator("#answer svg.section")).to_be_visible()
    assert "centre=500+mm" in page.url, "the address can be sent to somebody"
    fitter.look()

    with page.expect_navigation():
        page.get_by_label("mm, °C, kPa").check()
    expect(page.locator("#said")).to_contain_text("452")  # in mm the code's gap is 1.5: 500 - 45 - 3
    fitter.look()
    with page.expect_download() as saved:
        page.get_by_role("link", name="Print on one page").click()
    printed = pypdfium2.PdfDocument(saved.value.path())
    assert len(printed) == 1 and "452 mm" in printed[0].get_textpage().get_text_bounded()


@DEVICES
def test_a_refused_question_takes_the_reader_to_what_is_wrong(meet: Meet, device: Any) -> None:
    fitter = to_cut_length(meet("welder", device))
    fitter.box("Nominal size").select_option("1")
    fitter.press("Work it out")
    expect(fitter.page.locator("#faults")).to_be_focused()
    expect(fitter.page.locator("#faults")).to_contain_text("Still needed: Welded by, Centre to centre")
    assert fitter.box("Nominal size").input_value() == "1", "what was chosen is kept"


@DEVICES
def test_every_calculator_can_be_used(meet: Meet, device: Any) -> None:
    engineer = meet("engineer", device)
    for name, about in DESCRIBED.items():
        engineer.open(f"/calculators/{name}/?{urlencode({**about.example, 'job': CODE})}")
        expect(engineer.page.locator("#answer h2")).to_have_text("Answer")
        expect(engineer.page.locator("#answer .first")).to_be_visible()


def test_without_script_the_button_asks(meet: Meet) -> None:
    fitter = to_cut_length(meet("welder", PHONE, has_script=False))
    for label, value in (("Nominal size", "1"), ("Welded by", "socket"), ("Fitting at one end", "elbow-90")):
        fitter.box(label).select_option(value)
    fitter.press("Work it out")
    assert "Still needed: Centre to centre, Fitting at the other end" in fitter.words
    fitter.box("Fitting at the other end").select_option("tee")
    fitter.box("Centre to centre (in)").fill("40 mm")
    fitter.press("Work it out")
    assert "does not fit" in fitter.words
    fitter.box("Centre to centre (in)").fill("500 mm")
    fitter.press("Work it out")
    assert "1' 5-13/16\"" in fitter.words
