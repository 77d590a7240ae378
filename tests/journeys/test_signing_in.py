"""Signing in with a second factor, on a phone and at a desk, and where one is signed in."""

import re
from email.utils import parsedate_to_datetime

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.visitor import DESK, PASSWORD, PHONE, Visitor
from tests.weldtrack.codes import code

pytestmark = pytest.mark.journey


def set_up(person: Visitor) -> list[str]:
    """Set a second factor up from the account page; returns the recovery codes."""
    person.open("/account/").press("Set up a second factor")
    person.box("Your password").fill(PASSWORD)
    person.press("Go on")
    person.page.get_by_text("Type it in instead").click()
    secret = re.search(r"Secret: ([A-Z2-7]{32})", person.words)
    assert secret
    person.box("Code that your phone shows").fill("000")
    person.press("Switch it on")
    assert "This is not the code." in person.words
    assert person.page.locator("#faults").evaluate("one => one === document.activeElement")
    # The site's clock stands on the day of the story; the phone's shows the same.
    now = person.page.request.head(person.site + "/healthz").headers["date"]
    person.box("Code that your phone shows").fill(code(secret[1], parsedate_to_datetime(now).timestamp()))
    person.press("Switch it on")
    return re.findall(r"^\d{8}$", person.words, re.MULTILINE)


def sign_in_again(person: Visitor, recovery: str) -> None:
    """Sign out, then come in by password and a recovery code, a wrong one first."""
    with person.page.expect_navigation():
        person.page.get_by_role("button", name="Sign out", exact=True).first.click()
    person.box("Name you sign in with").fill(person.name)
    person.box("Password").fill(PASSWORD)
    person.press("Sign in")
    assert "Second factor" in person.words
    person.box("Code that your phone shows, or a recovery code").fill("12")
    person.press("Sign in")
    assert person.page.get_by_role("alert").inner_text().strip()
    person.box("Code that your phone shows, or a recovery code").fill(recovery)
    person.press("Sign in")
    assert "/jobs/OB-2604/" in person.page.url


@pytest.mark.parametrize(("name", "device"), [("foreman", PHONE), ("inspector", DESK)], ids=["phone", "desk"])
def test_a_second_factor_is_set_up_used_and_taken_off(meet: Meet, name: str, device: dict) -> None:
    person = meet(name, device)
    codes = set_up(person)
    assert len(codes) == 10
    sign_in_again(person, codes[0])
    person.open("/account/").press("Recovery codes")
    person.press("Give a code instead")
    person.box("Code that your phone shows, or a recovery code").fill(codes[1])
    person.press("Go on")
    assert "8 of 10 are left" in person.words
    person.press("Back to your account").press("Take it off").press("Take it off")
    assert "The second factor is off." in person.words


def test_a_person_sees_where_they_are_signed_in_and_ends_it(meet: Meet) -> None:
    phone, desk = meet("foreman", PHONE), meet("foreman", DESK)
    desk.open("/account/")
    assert desk.page.locator(".sessions tbody tr").count() == 2
    desk.press(re.compile("^Sign out Chrome"))
    assert "Signed out there." in desk.words
    phone.open("/account/")
    assert "/sign-in/" in phone.page.url


@pytest.mark.parametrize("device", [PHONE, DESK], ids=["phone", "desk"])
def test_a_password_is_changed_and_a_forgotten_one_asked_for(meet: Meet, device: dict) -> None:
    person = meet("welder", device)
    person.open("/account/").press("Change password")
    person.box("Your password now").fill(PASSWORD)
    for label in ("New password", "The same again"):
        person.box(label).fill("short")
    person.press("Change password")
    assert "at least 10 characters" in person.words
    with person.page.expect_navigation():
        person.page.get_by_role("button", name="Sign out", exact=True).first.click()
    person.press("Password forgotten")
    person.box("Your mail address").fill("nobody@yard.example")
    person.press("Send the link")
    assert "Look into your mail" in person.words
    person.open("/password/new/1/made-up/")
    assert "does not work any more" in person.words
