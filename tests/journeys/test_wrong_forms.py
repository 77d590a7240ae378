"""A form that is wrong says so three times in the same words, keeps what was typed, and a double click writes once."""

import re

import pytest
from playwright.sync_api import expect

from tests.hostile_bytes import pdf
from tests.journeys.conftest import Meet
from tests.journeys.deeds import open_joint
from tests.journeys.test_on_a_tablet_and_at_a_desk import open_line, place_in
from tests.journeys.visitor import DESK, PASSWORD, PHONE, Visitor

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


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_a_route_that_was_typed_before_the_session_ended_is_offered_again(meet: Meet, device: dict) -> None:
    engineer = meet("engineer", device)
    page = engineer.page
    address = _open_route(engineer)
    engineer.press("Type it as text")
    text = engineer.box("Route").input_value()
    engineer.box("Route").fill(text.replace("run up 3' 6\"", "run up 4' 6\"") + "; an hour's work\n")
    page.context.clear_cookies(name="sessionid")
    engineer.press("Look at what it does")
    assert "/sign-in/" in page.url
    page.get_by_label("Name you sign in with").fill("engineer")
    page.get_by_label("Password").fill(PASSWORD)
    engineer.press("Sign in")
    assert page.url == address and "What you typed here last was not applied." in engineer.words
    engineer.press("Bring it back")
    assert "an hour's work" in engineer.box("Route").input_value()

    engineer.open(address)
    page.get_by_role("button", name="Forget it").click()
    assert "was not applied" not in engineer.words
    engineer.open(address)
    assert "was not applied" not in engineer.words


def test_a_route_that_was_applied_is_not_offered_again(meet: Meet) -> None:
    engineer = meet("engineer", DESK)
    address = _open_route(engineer)
    engineer.press("Type it as text")
    engineer.box("Route").fill(engineer.box("Route").input_value() + "; as built\n")
    engineer.press("Look at what it does")
    engineer.press("Apply the route")
    assert "The route is applied" in engineer.words and "was not applied" not in engineer.words
    engineer.open(address)
    assert "was not applied" not in engineer.words


def test_lines_of_a_spreadsheet_pasted_into_a_row_become_rows(meet: Meet) -> None:
    engineer = meet("engineer", DESK)
    page = engineer.page
    _open_route(engineer)
    count = page.locator(".step-row").count()
    engineer.press("Insert below step 2")
    fresh = page.locator(".step-row").nth(2).locator("[name=rest]")
    cells = "run\tnorth\t2'\r\nelbow\t90\r\n\r\nrun\tup\u00a01' 6\u2033\r\n"
    paste = """(one, text) => { const data = new DataTransfer(); data.setData("text/plain", text);
      one.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true})); }"""
    engineer.leave_by(lambda: fresh.evaluate(paste, cells))
    rows = page.locator(".step-row")
    expect(rows).to_have_count(count + 3)
    told = [
        (rows.nth(n).locator("select").input_value(), rows.nth(n).locator("[name=rest]").input_value())
        for n in range(2, 5)
    ]
    assert told == [("run", "north 2'"), ("elbow", "90"), ("run", "up 1' 6\u2033")]


def test_a_tap_on_a_drawing_after_the_session_ended_says_so(meet: Meet) -> None:
    foreman = meet("foreman", DESK)
    page = foreman.page
    open_line(foreman, "DR-601")
    foreman.leave_by(page.get_by_role("link", name="Upload the drawing of OB-DR-601/1").click)
    foreman.box("Drawing").set_input_files({"name": "DR-601.pdf", "mimeType": "application/pdf", "buffer": pdf()})
    foreman.press("Upload")
    page.context.clear_cookies(name="sessionid")
    foreman.tap(place_in(page.locator("[data-drawing] svg"), 120, 160))
    expect(page.locator("[data-told]")).to_contain_text("Not placed: you are signed out.")


def test_what_a_correction_would_show_is_no_sign_in_page(meet: Meet) -> None:
    welder = meet("welder", DESK)
    page = welder.page
    open_joint(welder, JOINT).press(re.compile("^Record fit-up"))
    welder.box("Root opening").fill("3/32")
    welder.press("Record fit-up")
    welder.leave_by(page.get_by_role("link", name=re.compile("^Correct")).first.click)
    place, gap = page.locator("[data-preview]"), welder.box("Root opening")
    page.locator("[name=reason]").fill("misread")
    gap.fill("1/8")
    expect(place).to_contain_text("entry")
    page.context.clear_cookies(name="sessionid")
    gap.fill("5/32")
    expect(place).to_be_empty()
    expect(place.get_by_label("Password")).to_have_count(0)


def _open_route(engineer: Visitor) -> str:
    """Go to the route of OB-HO-301, sheet 1; returns its address."""
    engineer.open("/jobs/OB-2604/find/?q=HO-301")
    if "/lines/" not in engineer.page.url:
        engineer.press("HO-301")
    engineer.press("Open the route of OB-HO-301/1")
    return engineer.page.url
