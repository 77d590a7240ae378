"""Every page that a role finds, on a phone and at a desk; and that a reader finds nothing to write."""

import pytest
from playwright.sync_api import expect

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB, open_joint
from tests.journeys.visitor import DESK, PHONE, Visitor

pytestmark = pytest.mark.journey
READ_BY_ALL = (
    "weld-log/",
    "progress/",
    "welders/",
    "heats/",
    "pieces/",
    "spools/",
    "filler-lots/",
    "findings/",
    "papers/",
    "packages/",
    "people/",
)
WRITING = "main form[method=post], main a[href*='/fit-up/'], main a[href*='/pass/'], main a[href*='/assign/'], main a[href*='/examination/'], main a[href*='/repair/'], main a[href*='/release/'], main a[href*='/override/'], main a[href*='/withdraw/'], main a[href*='/record/']"


def follow_first(person: Visitor, part: str) -> None:
    """Open the first page whose address has this part, if the page leads to one."""
    link = person.page.locator(f"main a[href*='{part}']").first
    address = link.get_attribute("href")
    assert address, f"{person.page.url} leads to no {part}"
    person.open(address)


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_of_the_job_can_be_read(meet: Meet, device: dict) -> None:
    engineer = meet("engineer", device)
    for path in READ_BY_ALL:
        engineer.open(JOB + path)
    for path, part in (
        ("progress/", "/lines/"),
        ("welders/", "/welders/"),
        ("heats/", "/certificates/"),
        ("heats/", "/heats/"),
        ("pieces/", "/pieces/"),
        ("spools/", "/spools/"),
        ("filler-lots/", "/filler-lots/"),
    ):
        engineer.page.goto(engineer.site + JOB + path)
        follow_first(engineer, part)


@pytest.mark.parametrize("role", ["owner", "client"])
def test_a_reader_finds_nothing_to_write(meet: Meet, role: str) -> None:
    reader = meet(role, PHONE)
    for path in READ_BY_ALL:
        reader.open(JOB + path)
        expect(reader.page.locator(WRITING)).to_have_count(0)
    for joint in ("OB-BR-102/1/5", "OB-HO-301/2/5", "OB-BR-101/3/4"):
        open_joint(reader, joint)
        expect(reader.page.locator(WRITING)).to_have_count(0)


def test_the_filters_of_the_weld_log_change_the_list_in_place(meet: Meet) -> None:
    engineer = meet("engineer", DESK)
    page = engineer.open(f"{JOB}weld-log/").page
    page.get_by_text("Filters", exact=True).click()
    engineer.box("State").select_option("rejected")
    expect(page.locator("#log tbody tr")).to_have_count(2)
    assert "state=rejected" in page.url, "the address can be sent to somebody"
    page.get_by_role("link", name="all joints").click()
    expect(page.locator("#log tbody tr").nth(10)).to_be_visible()
    engineer.look()


def test_a_browser_keeps_no_page_for_whoever_signs_in_next(meet: Meet) -> None:
    page = meet("engineer", DESK).open(f"{JOB}weld-log/").page
    page.get_by_text("Filters", exact=True).click()
    for state in ("rejected", "accepted"):
        page.get_by_label("State", exact=True).select_option(state)
        page.wait_for_url(f"**state={state}**")
    assert page.evaluate("() => [sessionStorage['htmx-history-cache'], localStorage.length]") == [None, 0]
    page.go_back()
    page.wait_for_url("**state=rejected**")
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    expect(page.locator("#log tbody tr")).to_have_count(2)


def test_a_wrong_password_is_said_and_the_name_kept(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    with welder.page.expect_navigation():
        welder.page.get_by_role("button", name="Sign out").click()
    welder.look()
    welder.box("Name you sign in with").fill("welder")
    welder.box("Password").fill("not this one")
    welder.press("Sign in")
    assert welder.page.get_by_role("alert").inner_text().strip()
    assert welder.box("Name you sign in with").input_value() == "welder"


def test_the_box_works_on_a_phone_by_its_page(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    welder.open(f"{JOB}find/?q=7")
    expect(welder.page.locator(".found")).not_to_have_count(0)
    welder.open(f"{JOB}find/")


def test_an_inspector_goes_from_one_result_to_the_next_on_a_phone(meet: Meet) -> None:
    inspector = meet("inspector", PHONE)
    inspector.open(f"{JOB}to-examine/?method=VT&location=shop")
    inspector.leave_by(lambda: inspector.page.locator(".due-method a").first.click())
    inspector.look()
    before = inspector.page.url
    inspector.page.get_by_label("accepted", exact=True).check()
    inspector.leave_by(lambda: inspector.page.locator("button.main").click())
    inspector.look()
    assert "/examination/VT/?queue=1" in inspector.page.url and inspector.page.url != before
    expect(inspector.page.locator("main")).to_contain_text("recorded.")
