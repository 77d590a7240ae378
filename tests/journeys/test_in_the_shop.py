"""A day in the shop on a phone: a pipe cut with its mark, a spool checked and released, filler taken and brought back."""

import pytest
from playwright.sync_api import expect

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB
from tests.journeys.visitor import PHONE, Visitor

pytestmark = pytest.mark.journey


def open_named(person: Visitor, path: str, name: str) -> None:
    """Open a list and the thing of this name on it."""
    person.open(JOB + path)
    person.page.get_by_role("link", name=name, exact=True).first.click()
    person.look()


def test_a_length_of_pipe_is_cut_and_the_rest_goes_back(meet: Meet) -> None:
    fitter = meet("welder", PHONE)
    open_named(fitter, "pieces/?line=GL-201&search=OB-GL-201", "P1")
    fitter.press("Cut into parts")
    fitter.box("Parts").fill("P1Y")
    fitter.page.get_by_label("yes", exact=True).check()
    fitter.press("Cut into parts")
    expect(fitter.page.get_by_text("piece P1Y").first).to_be_visible()
    fitter.press("Return to stock")
    fitter.press("Return to stock")
    expect(fitter.page.locator(".state b")).to_have_text("in stock")


def test_a_spool_is_checked_and_released_from_the_yard(meet: Meet) -> None:
    inspector = meet("inspector", PHONE)
    open_named(inspector, "spools/?line=BR-101", "BR-101-1A")
    inspector.press("Record the dimensional check")
    inspector.press("Record the dimensional check")
    expect(inspector.page.locator("#faults")).to_contain_text("Result")
    inspector.page.get_by_label("accepted", exact=True).check()
    inspector.press("Record the dimensional check")
    expect(inspector.page.locator(".state b")).to_have_text("checked")
    inspector.press("Release spool")
    inspector.press("Release spool")
    expect(inspector.page.locator(".state b")).to_have_text("released")


def test_filler_goes_out_and_comes_back(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    open_named(welder, "filler-lots/", "L-7111")
    welder.press("Issue to a welder")
    expect(welder.box("Welder (stamp)")).to_have_value("D12")
    welder.box("Quantity").fill("5 lb")
    welder.press("Record")
    row = welder.page.get_by_role("row").filter(has_text="D12")
    expect(row).to_contain_text("5 lb")
    welder.press("Take back")
    welder.box("Quantity").fill("2 lb")
    welder.press("Record")
    expect(row).to_contain_text("3 lb")
