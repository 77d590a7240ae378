"""The same work with scripts switched off, as on an old tablet or behind a strict proxy."""

import re

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB, examine, fit_up, open_joint, state, weld
from tests.journeys.visitor import PHONE

pytestmark = pytest.mark.journey
JOINT = "OB-NI-501/1/3"


def test_a_joint_is_fitted_welded_examined_and_packed_without_any_script(meet: Meet) -> None:
    welder = meet("welder", PHONE, has_script=False)
    open_joint(welder, JOINT).press(re.compile("^Record fit-up"))
    welder.box("Gap (in)").fill("much")
    welder.press("Record fit-up")
    assert "Not recorded yet" in welder.page.locator("#faults").inner_text()
    open_joint(welder, JOINT)
    fit_up(welder, {"Gap (in)": "1/16"})
    for role, amps, clock in (("root", "70", "12"), ("cap", "80", "3")):
        weld(welder, role, amps, clock, "L-3161 · ER316L")
    assert state(welder) == "welded"

    inspector = meet("inspector", PHONE, has_script=False)
    open_joint(inspector, JOINT)
    examine(inspector, "VT", "accepted", {"Leg A": "3/16", "Leg B": "3/16"})
    examine(inspector, "PT", "accepted", {"Report number": "PT-1124"})
    assert state(inspector) == "accepted"

    inspector.open(f"{JOB}packages/")
    inspector.box("Of what").select_option(label="one line")
    inspector.box("Line number or spool mark").fill("NI-501")
    inspector.press("Build the package")
    for _ in range(60):
        if inspector.page.get_by_role("link", name="Download the package").count():
            break
        inspector.page.wait_for_timeout(500)
        inspector.press("Look again")
    with inspector.page.expect_download() as saved:
        inspector.page.get_by_role("link", name="Download the package").click()
    assert saved.value.path().read_bytes().startswith(b"%PDF")


def test_the_filters_of_the_weld_log_work_without_any_script(meet: Meet) -> None:
    welder = meet("welder", PHONE, has_script=False)
    welder.open(f"{JOB}weld-log/?state=rejected")
    assert welder.page.locator("#log tbody tr").count() == 2
    welder.box("Joint, alias, drawing, spool or heat").fill("OB-GL-202")
    welder.press("Show")
    assert welder.page.locator("#log tbody tr").count() == 1
