"""What people do in more than one journey, in the words of the screens."""

import re
from collections.abc import Mapping
from urllib.parse import quote

from tests.journeys.visitor import Visitor

JOB = "/jobs/OB-2604/"


def open_joint(person: Visitor, joint: str) -> Visitor:
    """Find a joint, named drawing/sheet/number, in the weld log and open its card."""
    person.open(f"{JOB}weld-log/?search={quote(joint)}")
    row = person.page.locator("#log tbody tr")
    assert row.count() == 1, f"{joint} is not to be found"
    return person.leave_by(row.get_by_role("rowheader").get_by_role("link").click)


def fill(person: Visitor, values: Mapping[str, str]) -> None:
    """Type values into the fields with these labels."""
    for label, value in values.items():
        person.box(label).fill(value)


def choose(person: Visitor, *words: str | re.Pattern[str]) -> None:
    """Choose each radio button by its words."""
    for one in words:
        person.page.get_by_role("radio", name=one, exact=True).check()


def fit_up(person: Visitor, values: Mapping[str, str]) -> Visitor:
    """Record a fit-up from the joint card."""
    person.press(re.compile("^Record fit-up"))
    fill(person, values)
    person.press("Record fit-up")
    assert "Fit-up recorded." in person.words
    return person


def weld(person: Visitor, role: str, amps: str, clock: str, lot: str) -> Visitor:
    """Record a pass from the joint card; it starts and stops at the same place."""
    page = person.page
    person.press(re.compile("^Record pass"))
    choose(person, role)
    lots = person.box("Filler lot")
    lots.select_option(lots.locator("option", has_text=lot).get_attribute("value"))
    fill(person, {"Started at": clock, "Stopped at": clock})
    page.locator("details.more > summary").click()
    person.box("Amps").fill(amps)
    person.press(re.compile("^Record pass"))
    assert "Pass recorded." in person.words
    return person


def examine(person: Visitor, method: str, result: str, values: Mapping[str, str]) -> Visitor:
    """Record an examination from the joint card."""
    person.press(f"Record {method}")
    choose(person, result)
    fill(person, values)
    person.press(f"Record {method}")
    assert re.search(rf"{method} of joint \S+ recorded\.", person.words)
    return person


def state(person: Visitor) -> str:
    """The state that the joint card says."""
    return person.page.locator(".state b").first.inner_text()
