"""An engineer's import: a workbook with a fault comes back named, the mended one is looked at and applied."""

import re
from pathlib import Path

import pytest

from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from tests.ifc_models import IfcModel, write_shape
from tests.journeys.conftest import Meet
from tests.journeys.deeds import JOB
from tests.journeys.visitor import DESK, PHONE
from tests.office.workbooks import as_xlsx

pytestmark = pytest.mark.journey
HEATS = ["heat", "material", "C"]
ROUTE = "start at E 0 N 0 EL 0\nrun north 1200\nelbow\nrun up 900\nopen end\n"
DEVICES = pytest.mark.parametrize(
    ("device", "has_script"), [(PHONE, True), (DESK, True), (DESK, False)], ids=["phone", "desk", "without script"]
)


@DEVICES
def test_a_workbook_is_mended_looked_at_and_applied(meet: Meet, tmp_path: Path, device: dict, has_script: bool) -> None:
    bad, good = tmp_path / "bad.xlsx", tmp_path / "good.xlsx"
    bad.write_bytes(as_xlsx({"Heats": [HEATS, ["H-9001", "A106 B", "low"]]}))
    good.write_bytes(as_xlsx({"Heats": [HEATS, ["H-9001", "A106 B", 0.21]]}))
    engineer = meet("engineer", device, has_script=has_script)
    engineer.open(JOB)
    ways = engineer.page.get_by_role("navigation")
    ways.locator("summary", has_text="Menu" if device is PHONE else "Job").click()
    engineer.leave_by(engineer.page.get_by_role("link", name="Import", exact=True).click)
    engineer.box("Workbook or model").set_input_files(bad)
    engineer.press("Check the file")
    assert "1 fault." in engineer.words and "Heats!C2" in engineer.words and "low" in engineer.words
    assert engineer.page.get_by_role("button", name="Apply").count() == 0

    engineer.press("All imports")
    engineer.box("Workbook or model").set_input_files(good)
    engineer.press("Check the file")
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


@DEVICES
def test_a_model_s_route_is_looked_at_on_a_sheet(meet: Meet, tmp_path: Path, device: dict, has_script: bool) -> None:
    model = IfcModel()
    write_shape(model, shape_of_text(ROUTE, Setting("2", "40")), "GL-204")
    engineer = meet("engineer", device, has_script=has_script)
    engineer.open(f"{JOB}imports/")
    engineer.box("Workbook or model").set_input_files(model.write(tmp_path / "area.ifc"))
    engineer.press("Check the file")
    assert "1 route with 2 joints" in engineer.words and "Nothing is written yet" in engineer.words
    engineer.box("Sheet of route 1").fill("OB-GL-205/9")
    engineer.press("Look at it")
    assert "There is no drawing sheet" in engineer.words
    engineer.box("Sheet of route 1").fill("OB-BR-103/1")
    engineer.press("Look at it")
    assert "What it does" in engineer.words and "Route of OB-BR-103" in engineer.words
    assert engineer.page.locator("svg").count()
