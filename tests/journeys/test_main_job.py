"""The main job, from a planned joint to the package in the client's hands."""

import hashlib
import re
from io import BytesIO

import pikepdf
import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB, choose, examine, fit_up, open_joint, state, weld
from tests.journeys.visitor import DESK, PHONE

pytestmark = pytest.mark.journey
JOINT = "OB-BR-102/2/1"


def test_a_crew_takes_a_joint_from_the_plan_into_the_package_of_the_client(meet: Meet) -> None:
    foreman = meet("foreman", DESK)
    open_joint(foreman, JOINT)
    assert state(foreman) == "planned"
    foreman.press("Assign a welder")
    choose(foreman, re.compile("^D12"))
    foreman.press(re.compile("^Assign to joint"))
    assert "assigned to D12, Marta Quellin" in foreman.words

    welder = meet("welder", PHONE)
    assert "OB-BR-102/2" in welder.words, "the joint waits on the start page of its welder"
    open_joint(welder, JOINT)
    fit_up(welder, {"Root opening": "3/32"})
    for role, amps, clock in (("root", "85", "12"), ("hot", "95", "3"), ("cap", "100", "6")):
        weld(welder, role, amps, clock, "L-3162 · ER316L")
    assert state(welder) == "welded"

    inspector = meet("inspector", PHONE)
    open_joint(inspector, JOINT)
    examine(inspector, "VT", "accepted", {"Report number": "VT-1124"})
    assert state(inspector) == "accepted"
    inspector.press("Release joint 1").press("Release joint 1")
    assert state(inspector) == "released"

    engineer = meet("engineer", DESK)
    engineer.open(f"{JOB}packages/")
    engineer.box("Of what").select_option(label="one line")
    engineer.box("Line number or spool mark").fill("BR-102")
    engineer.press("Build the package")
    engineer.page.get_by_text("The package is ready").wait_for()
    engineer.look()

    client = meet("client", DESK)
    client.open(f"{JOB}packages/")
    row = client.page.locator("table.packages tbody tr").first
    with client.page.expect_download() as saved:
        row.get_by_role("link", name="Package").click()
    package, name = saved.value.path().read_bytes(), saved.value.suggested_filename
    with client.page.expect_download() as saved:
        row.get_by_role("link", name="Manifest").click()
    manifest = saved.value.path().read_text(encoding="utf-8")
    found = hashlib.sha256(package).hexdigest()
    assert f"{found}  {name}" in manifest.splitlines(), "sha256sum --check can read it"
    assert found in row.inner_text()
    with pikepdf.open(BytesIO(package)) as pdf:
        assert f"{len(pdf.pages)} pages" in row.inner_text()
