"""An engineer's import: a workbook with a fault comes back named, the mended one is looked at and applied."""

import re
from pathlib import Path

import pytest

from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB
from tests.journeys.visitor import DESK, PHONE
from tests.office.workbooks import as_xlsx

pytestmark = pytest.mark.journey
HEATS = ["heat", "material", "C"]


@pytest.mark.parametrize(
    ("device", "has_script"), [(PHONE, True), (DESK, True), (DESK, False)], ids=["phone", "desk", "without script"]
)
def test_a_workbook_is_mended_looked_at_and_applied(meet: Meet, tmp_path: Path, device: dict, has_script: bool) -> None:
    bad, good = tmp_path / "bad.xlsx", tmp_path / "good.xlsx"
    bad.write_bytes(as_xlsx({"Heats": [HEATS, ["H-9001", "A106 B", "low"]]}))
    good.write_bytes(as_xlsx({"Heats": [HEATS, ["H-9001", "A106 B", 0.21]]}))
    engineer = meet("engineer", device, has_script=has_script)
    engineer.open(JOB)
    ways = engineer.page.get_by_role("navigation")
    ways.locator("summary", has_text="Menu" if device is PHONE else "Job").click()
    engineer.leave_by(engineer.page.get_by_role("link", name="Import", exact=True).click)
    engineer.box("Workbook").set_input_files(bad)
    engineer.press("Check the workbook")
    assert "1 fault." in engineer.words and "Heats!C2" in engineer.words and "low" in engineer.words
    assert engineer.page.get_by_role("button", name="Apply").count() == 0

    engineer.press("All imports")
    engineer.box("Workbook").set_input_files(good)
    engineer.press("Check the workbook")
    assert "Nothing is written yet" in engineer.words
    engineer.page.locator("summary", has_text="Heats").click()
    assert "heat H-9001" in engineer.words
    engineer.press("Apply")
    written = engineer.page.get_by_text("The workbook is in the job.")
    for _ in range(30):
        if written.count() or has_script:
            break
        engineer.press("Look again")
    written.wait_for()
    engineer.look().open(f"{JOB}heats/?search=H-9001")
    assert re.search(r"H-9001", engineer.words)
