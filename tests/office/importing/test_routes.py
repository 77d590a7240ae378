"""The sheet Routes: read step by step, told at its cell, and the same again after an export."""

from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from joints.actions.apply_route import apply_route
from joints.queries.routes import propose
from office.exporting.workbook import export_workbook
from office.importing.workbook import import_workbook
from records.models import Job, Joint, Route, Sheet
from tests.office.importing.books import import_sheets
from tests.records.scene import open_job, plan

pytestmark = pytest.mark.django_db

TEXT = (
    "start at E 10' N 4' 6\" EL 12'\nflange 150 ; to the pump\nrun north 4'\ntee\n  branch west\n  run west 2'\n"
    "  open end\n  end branch\nrun north 2' 6\"\ncontinue on sheet 2\n"
)


@pytest.fixture
def sheet() -> Sheet:
    scene = plan(*open_job(), joints=0)
    return Sheet.objects.select_related("line", "job").get(job=scene.job)


HEADS = ["drawing", "sheet", "step", "item", "along", "angle", "place", "note", "joints"]


def rows(*steps: dict[str, Any]) -> dict[str, list[list[Any]]]:
    said = [{"drawing": "ISO-2001", "sheet": "1", "step": number, **one} for number, one in enumerate(steps, start=1)]
    return {"Routes": [list(HEADS), *([one.get(head) for head in HEADS] for one in said)]}


def send(job: Job, folder: Path, *steps: dict[str, Any]) -> Any:
    return import_sheets(rows(*steps), folder, code=job.code)


def test_rows_become_a_route(sheet: Sheet, tmp_path: Path) -> None:
    outcome = send(
        sheet.job,
        tmp_path,
        {"item": "start", "place": "E 10' EL 12'"},
        {"item": "run", "along": "north 4'", "note": "along the wall"},
        {"item": "elbow", "angle": "90"},
        {"item": "run", "along": "up 3'"},
        {"item": "open end"},
    )
    assert not outcome.faults
    assert Route.objects.get(sheet=sheet).text == (
        "start at E 10' EL 12'\nrun north 4' ; along the wall\nelbow 90\nrun up 3'\nopen end\n"
    )


@pytest.mark.parametrize(
    ("steps", "told"),
    [
        (({"item": "rum", "along": "north 4'"},), 'Routes!D2: There is no step "rum"'),
        (({"item": "run", "along": "north 4 parsecs"},), 'Routes!E2: "4 parsecs" is not a length'),
        (({"item": "cap", "angle": "90"},), "Routes!F2: the step cap takes no angle"),
        (({"item": "run", "along": "north 4'"},), "Routes!D2: The route ends here with nothing that closes it"),
        (
            ({"item": "run", "along": "north 4'"}, {"item": "open end", "joints": "7"}),
            "the step makes 0 joints, and 1 are named",
        ),
    ],
)
def test_what_is_wrong_is_told_at_its_cell(sheet: Sheet, tmp_path: Path, steps: Any, told: str) -> None:
    outcome = send(sheet.job, tmp_path, *steps)
    assert any(told in fault for fault in outcome.faults), outcome.faults
    assert not Route.objects.exists()


def test_exported_and_imported_again_nothing_changes(sheet: Sheet, tmp_path: Path) -> None:
    engineer = sheet.job.memberships.get().user
    base = propose(sheet, TEXT).base
    apply_route(sheet, TEXT, base=base, revision="A", reason="", by=engineer)
    book = tmp_path / "job.xlsx"
    export_workbook(sheet.job, book)
    listed = list(load_workbook(book)["Routes"].iter_rows(values_only=True))
    heads = [str(one) for one in listed[0]]
    steps = [dict(zip(heads, row, strict=True)) for row in listed[1:]]
    assert [one["item"] for one in steps][:4] == ["start", "flange", "run", "tee"]
    assert [one["joints"] for one in steps] == [None, None, "1", "2", None, "3", None, None, "4", None]
    outcome = import_workbook(book, sheet.job.code, by=None)
    assert not outcome.faults
    counted = outcome.counts["Routes"]
    assert (counted.new, counted.changed, counted.unchanged) == (0, 0, 10)


def test_the_units_of_a_job_with_a_route_stay(sheet: Sheet, tmp_path: Path) -> None:
    send(sheet.job, tmp_path, {"item": "start"}, {"item": "run", "along": "north 48"}, {"item": "open end"})
    assert Route.objects.get().text == "start\nrun north 48\nopen end\n"
    # No joint follows yet; 48 is read in inches, and would be 48 mm in a job in mm.
    assert not Joint.objects.filter(job=sheet.job).exists()
    other = "SI" if sheet.job.units == "US" else "US"
    outcome = import_sheets({"Job": [["code", "units"], [sheet.job.code, other]]}, tmp_path, code=sheet.job.code)
    told = f"the units stay {sheet.job.units}: routes stand, and numbers without a unit"
    assert any(told in fault for fault in outcome.faults), outcome.faults
    assert Job.objects.get(pk=sheet.job.pk).units == sheet.job.units
