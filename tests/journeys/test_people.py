"""An administrator's people: somebody comes onto the job, sets a password with a link, and leaves it again."""

import re

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB
from tests.journeys.visitor import DESK, PASSWORD, PHONE

pytestmark = pytest.mark.journey


@pytest.mark.parametrize(
    ("device", "has_script"), [(PHONE, True), (DESK, True), (DESK, False)], ids=["phone", "desk", "without script"]
)
def test_somebody_comes_onto_the_job_and_leaves_it(meet: Meet, device: dict, has_script: bool) -> None:
    administrator = meet("administrator", device, has_script=has_script)
    page = administrator.page
    administrator.open(f"{JOB}people/").press("Add a person")
    administrator.press("Add to the job")
    assert "this is missing" in administrator.words
    administrator.box("Name to sign in with").fill("nils")
    page.get_by_role("radio", name=re.compile("^foreman")).check()
    administrator.box("First name").fill("Nils")
    administrator.box("Last name").fill("Oker")
    administrator.press("Add to the job")
    assert "nils is foreman now." in administrator.words
    administrator.press("Show a link to set a password")
    link = page.locator("#link").inner_text()

    nils = meet("welder", PHONE)
    with nils.page.expect_navigation():
        nils.page.get_by_role("button", name="Sign out", exact=True).first.click()
    nils.open(link)
    for label in ("New password", "The same again"):
        nils.box(label).fill(PASSWORD)
    nils.press("Set the password")
    assert "Password set" in nils.words
    nils.sign_in("nils")
    assert "/jobs/OB-2604/" in nils.page.url

    page.get_by_role("checkbox", name=re.compile("^foreman")).uncheck()
    administrator.press("Change roles")
    assert "Say why a role is taken." in administrator.words
    administrator.box("Why").fill("Left the yard.")
    administrator.press("Change roles")
    assert "Nils Oker" not in administrator.words
    assert nils.page.request.get(nils.site + JOB).status == 404


def test_the_settings_of_the_job_change_with_a_reason_on_a_phone(meet: Meet) -> None:
    administrator = meet("administrator", PHONE)
    administrator.open(f"{JOB}settings/")
    assert "Fixed: joints stand" in administrator.words
    administrator.page.get_by_label("Site", exact=True).fill("Yard 4, hall B")
    administrator.press("Change the settings")
    assert "Say why the settings change." in administrator.words
    assert administrator.page.get_by_label("Site", exact=True).input_value() == "Yard 4, hall B"
    administrator.box("Why it changes").fill("The skid was moved.")
    administrator.press("Change the settings")
    assert "Changed: Site." in administrator.words
