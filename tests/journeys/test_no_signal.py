"""A phone without signal: what was taken along opens, what is recorded is kept, and goes out once."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB, choose, fill
from tests.journeys.visitor import PHONE, Visitor

pytestmark = pytest.mark.journey
OFF = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_FAILED|status (?:of )?503\b")
TAKEN = "() => localStorage.getItem('taken-along')"
KEPT = "/kept/"
AS_IT_IS = "kept.all().then(all => all[0])"
TRIES, TRY_MS = 150, 200
FORM_SAYS = "async ([address, words]) => (await (await caches.match(address))?.text() ?? '').includes(words)"


@contextmanager
def no_signal(person: Visitor) -> Iterator[None]:
    """Take the signal away; what the browser says of that is no complaint against the site."""
    person.page.context.set_offline(True)
    person.is_looking, looked = False, person.is_looking
    yield
    person.complaints[:] = [one for one in person.complaints if not OFF.search(one)]
    person.is_looking = looked
    person.page.context.set_offline(False)


@contextmanager
def not_admitted(person: Visitor) -> Iterator[None]:
    """While the site refuses somebody, the browser says so in its console: no complaint against the site."""
    person.is_looking, looked = False, person.is_looking
    yield
    person.complaints[:] = [one for one in person.complaints if not re.search(r"status of 40[34]", one)]
    person.is_looking = looked


def take_along(person: Visitor) -> str:
    """Stay on the start page until the waiting joints are on the phone; the path of one that waits for its fit-up."""
    person.open(JOB)
    person.page.wait_for_function(TAKEN)
    form = person.page.locator("[data-take-along] a.do[href$='fit-up/']").first.get_attribute("href")
    assert form
    return form.removesuffix("fit-up/")


def fit_up(person: Visitor, joint: str, gap: str) -> None:
    """Record a fit-up, whether there is signal or not."""
    person.open(f"{joint}fit-up/")
    fill(person, {"Root opening": gap})
    person.press("Record fit-up")


def bar(person: Visitor) -> str:
    """What the page says that the phone keeps."""
    place = person.page.locator("[data-kept-bar]")
    place.wait_for()
    return place.inner_text()


def wait_until_sent(person: Visitor) -> None:
    """Wait until the page says no more that anything is kept."""
    person.open(KEPT)
    person.page.get_by_text("Nothing is kept here").wait_for()


def until(person: Visitor, ask: str, *said: str) -> None:
    """Wait until a page answers yes to what it must look up; `wait_for_function` takes every promise for a yes."""
    for _ in range(TRIES):
        if person.page.evaluate(ask, list(said)):
            return
        person.page.wait_for_timeout(TRY_MS)
    pytest.fail(f"never true: {ask}")


def recorded(folder: Path, table: str, joint: str) -> int:
    """How many records of a kind the site has of a joint."""
    key = joint.rstrip("/").rpartition("/")[2].replace("-", "")
    with sqlite3.connect(folder / "data" / "spoolbook.sqlite3") as base:
        (found,) = base.execute(f"SELECT count(*) FROM records_{table} WHERE joint_id = ?", [key]).fetchone()
    return int(found)


def test_a_fit_up_and_two_passes_are_kept_and_recorded_once(meet: Meet, tmp_path: Path) -> None:
    welder = meet("welder", PHONE)
    joint = take_along(welder)
    with no_signal(welder):
        welder.open(f"{joint}fit-up/")
        fill(welder, {"Root opening": "1/4"})
        shown = welder.page.locator("[data-preview]")
        shown.get_by_text("This entry would show 1 finding.").wait_for()
        assert re.search(r"Correct .*1/4 in, at most 1/8 in \(WPS", shown.inner_text()), shown.inner_text()
        fill(welder, {"Root opening": "wide"})
        shown.get_by_text("Root opening (in): “wide” can’t be read").wait_for()
        fill(welder, {"Root opening": "3/32"})
        shown.get_by_text("Nothing in this entry is out of the limits on this page.").wait_for()
        welder.press("Record fit-up")
        assert "1 record waits on this device for signal" in bar(welder)
        welder.page.get_by_text("root opening (in) 3/32").wait_for()
        # The hot pass is welded in two halves: the second goes on under its number, a third would be the next pass.
        for number, role, start, stop in ((1, "root", "", ""), (2, "hot", "12", "6"), (2, "hot", "6", "12")):
            welder.open(f"{joint}pass/")
            welder.page.get_by_text(re.compile("kept on this device")).wait_for() if role != "root" else None
            choose(welder, role)
            welder.page.locator("details.more > summary").click()
            fill(welder, {"Started at": start, "Stopped at": stop})
            welder.press(re.compile("^Record pass"))
            welder.page.get_by_text(f"Pass {number}, joint").last.wait_for()
        welder.open(f"{joint}pass/")
        welder.page.get_by_text("this one is pass 3").wait_for()
        assert "4 records wait on this device for signal" in bar(welder)
        welder.open(joint)
        assert "No signal: this page is as it was on" in bar(welder)
        sent_again = welder.page.evaluate(AS_IT_IS)
    wait_until_sent(welder)
    assert (recorded(tmp_path, "fitup", joint), recorded(tmp_path, "pass", joint)) == (1, 3)
    # The site took it and the answer was lost: it goes out a second time.
    welder.page.evaluate("one => kept.put(one)", sent_again)
    wait_until_sent(welder)
    assert recorded(tmp_path, "fitup", joint) == 1
    welder.open(joint)
    assert "Pass 1 root" in welder.words
    assert "Pass 2 hot" in welder.words
    # Its form was taken along anew, and goes on from what the site has by now.
    until(welder, FORM_SAYS, f"{joint}pass/", "Record pass 3")
    with no_signal(welder):
        welder.open(f"{joint}pass/")
        assert "Record pass 3" in welder.words
        welder.open(f"{joint}pass/?replaces={sent_again['id']}")
        assert "A correction needs signal" in welder.page.inner_text("body"), "never the form of a new record"


def test_what_was_typed_is_kept_where_somebody_must_sign_in_again(meet: Meet, tmp_path: Path) -> None:
    welder = meet("welder", PHONE)
    joint = take_along(welder)
    welder.open(f"{joint}fit-up/")
    welder.page.context.clear_cookies(name="sessionid")
    fill(welder, {"Root opening": "3/32"})
    welder.press("Record fit-up")
    assert "Records that are kept on this device go out once you are signed in." in welder.words
    assert recorded(tmp_path, "fitup", joint) == 0
    welder.sign_in("welder")
    wait_until_sent(welder)
    assert recorded(tmp_path, "fitup", joint) == 1


def test_what_the_site_refuses_stays_with_the_reason_and_can_be_mended(meet: Meet, tmp_path: Path) -> None:
    welder = meet("welder", PHONE)
    joint = take_along(welder)
    with no_signal(welder):
        fit_up(welder, joint, "wide")
    welder.open(KEPT)
    welder.page.get_by_role("button", name="Open and mend").wait_for()
    assert "1 was refused" in bar(welder)
    assert "wide" in welder.words
    assert recorded(tmp_path, "fitup", joint) == 0
    welder.page.get_by_role("button", name="Open and mend").focus()
    welder.page.evaluate("() => { dispatchEvent(new Event('kept-changed')); }")
    welder.page.wait_for_timeout(TRY_MS)
    assert welder.page.evaluate("() => document.activeElement.textContent") == "Open and mend"
    welder.press("Open and mend")
    fill(welder, {"Root opening": "3/32"})
    welder.press("Record fit-up")
    assert "Fit-up recorded." in welder.words
    wait_until_sent(welder)
    assert recorded(tmp_path, "fitup", joint) == 1


def test_signing_out_takes_the_pages_away_and_no_record(meet: Meet, tmp_path: Path) -> None:
    welder = meet("welder", PHONE)
    joint = take_along(welder)
    with no_signal(welder):
        fit_up(welder, joint, "3/32")
        # The session ends at the site as well, as if it had been ended from another device.
        welder.page.context.clear_cookies()
    welder.open("/sign-in/")
    until(welder, "caches.has('pages').then(one => !one)")
    assert recorded(tmp_path, "fitup", joint) == 0
    welder.sign_in("hamish")
    welder.open(KEPT)
    welder.page.get_by_text("1 more of somebody else").wait_for()
    assert "Fit-up, joint" not in welder.words
    with welder.page.expect_navigation():
        welder.page.get_by_role("button", name="Sign out").click()
    welder.sign_in("welder")
    wait_until_sent(welder)
    assert recorded(tmp_path, "fitup", joint) == 1
    with no_signal(welder):
        welder.page.context.set_offline(True)
        assert welder.page.evaluate("caches.match(location.href).then(Boolean)"), (
            "their own pages are taken along again"
        )


def test_a_form_of_another_site_is_never_kept(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    joint = take_along(welder)
    person = welder.page.locator("body").get_attribute("data-person")
    said = {"id": "0190f3c4-0000-7000-8000-000000000000", "kept_by": person, "kept_words": "Fit-up", "gap": "3/32"}
    fields = "".join(f'<input name="{name}" value="{value}">' for name, value in said.items())
    with no_signal(welder):
        welder.page.goto("about:blank")
        welder.page.set_content(f'<form method="post" action="{welder.site}{joint}fit-up/">{fields}</form>')
        welder.page.evaluate("() => document.forms[0].submit()")
        welder.page.wait_for_timeout(2_000)
        assert KEPT not in welder.page.url
    welder.open(KEPT)
    assert welder.page.evaluate("() => kept.all()") == []


# The keeper takes a card away between the list of what is there and the look at it.
GONE_MEANWHILE = """
const there = Cache.prototype.keys;
Cache.prototype.keys = async function (...asked) {
  const gone = new Request("/jobs/GONE/joints/0190f3c4-0000-7000-8000-000000000000/");
  return [gone, ...(await there.apply(this, asked))];
};
"""


def test_a_card_that_goes_while_the_list_of_cards_is_read_is_left_out(meet: Meet) -> None:
    welder = meet("welder", PHONE)
    take_along(welder)
    welder.page.add_init_script(GONE_MEANWHILE)
    welder.open(KEPT)
    cards = welder.page.locator("[data-taken-list] a")
    cards.first.wait_for()
    assert "GONE" not in " ".join(one.get_attribute("href") or "" for one in cards.all())


@contextmanager
def stored(folder: Path) -> Iterator[sqlite3.Connection]:
    """The database of the site, for what somebody else did meanwhile."""
    base = sqlite3.connect(folder / "data" / "spoolbook.sqlite3", timeout=30)
    with base:
        yield base
    base.close()


def test_a_role_that_was_taken_away_meanwhile_loses_nothing(meet: Meet, tmp_path: Path) -> None:
    # The phone is on the other side of the date line: the day of a form is that of the site.
    welder = meet("welder", PHONE | {"timezone_id": "Pacific/Kiritimati"})
    joint = take_along(welder)
    day = welder.open(f"{joint}fit-up/").page.locator("[name=date]").input_value()
    person = int(welder.page.locator("body").get_attribute("data-person") or 0)
    with no_signal(welder):
        welder.open(f"{joint}fit-up/")
        assert welder.page.locator("[name=date]").input_value() == day
        fill(welder, {"Root opening": "3/32"})
        welder.press("Record fit-up")
    with stored(tmp_path) as base:
        base.execute("UPDATE records_membership SET is_held = 0 WHERE user_id = ?", [person])
    with not_admitted(welder):
        welder.open(KEPT)
        welder.page.get_by_role("button", name="Open and mend").wait_for()
        assert "1 was refused" in bar(welder)
    assert recorded(tmp_path, "fitup", joint) == 0
    with stored(tmp_path) as base:
        base.execute("UPDATE records_membership SET is_held = 1 WHERE user_id = ?", [person])
    welder.open(KEPT)
    welder.page.get_by_role("button", name="Open and mend").click()
    wait_until_sent(welder)
    assert recorded(tmp_path, "fitup", joint) == 1
