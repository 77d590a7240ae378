"""`export_workbook`: a file that is whole or not there, and faults in a sentence."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook
from python_calamine import CalamineWorkbook

from office.exporting.workbook import export_workbook
from office.importing.forms import NAMES
from office.importing.workbook import import_workbook
from records.models import FitUp, Job, Line
from tests.builders import JobBuilder
from tests.many import many_joints
from tests.office.importing.books import import_sheets
from tests.office.workbooks import change, changed_sheets, clean_sheets

pytestmark = pytest.mark.django_db


def test_writes_every_sheet_but_the_weld_log_whose_passes_stand_in_passes(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    out = StringIO()
    call_command("export_workbook", "--job", "J-1", "--output", str(tmp_path / "out.xlsx"), stdout=out)
    names = CalamineWorkbook.from_path(str(tmp_path / "out.xlsx")).sheet_names
    assert names == [name for name in NAMES if name != "Weld log"]
    assert out.getvalue().startswith(str(tmp_path / "out.xlsx"))
    assert [path.name for path in tmp_path.glob(".*")] == []


def test_imported_into_its_own_job_it_changes_nothing(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    export_workbook(Job.objects.get(), tmp_path / "out.xlsx")
    again = import_workbook(tmp_path / "out.xlsx", "J-1", by=None)
    assert (again.faults, again.changed, again.is_changed) == ([], [], False)


@pytest.mark.parametrize(
    ("job", "file", "code", "word"),
    [
        ("NO-1", "out.xlsx", 1, "no job NO-1"),
        ("J-1", "out.csv", 2, "must end in .xlsx"),
        ("J-1", "nowhere/out.xlsx", 1, "can't be written"),
    ],
)
def test_what_can_t_be_exported_is_said_in_a_sentence(
    job: str, file: str, code: int, word: str, tmp_path: Path
) -> None:
    JobBuilder(code="J-1")
    with pytest.raises(CommandError, match=word) as refused:
        call_command("export_workbook", "--job", job, "--output", str(tmp_path / file))
    assert refused.value.returncode == code


def test_lengths_stand_as_typed_else_in_the_job_s_units_else_in_mm(tmp_path: Path) -> None:
    import_sheets(changed_sheets([change("Fit-ups", 2, "gap", "0.0625 in")]), tmp_path)
    job = Job.objects.get()
    Line.objects.update(design_temperature_c="93.3333", design_pressure_kpa="1000")
    export_workbook(job, tmp_path / "out.xlsx")
    book = CalamineWorkbook.from_path(str(tmp_path / "out.xlsx"))
    rows = {name: book.get_sheet_by_name(name).to_python() for name in ("Fit-ups", "Lines", "Procedures")}
    of = {name: dict(zip(found[0], found[1], strict=True)) for name, found in rows.items()}
    assert of["Fit-ups"]["gap"] == "0.0625 in" and of["Fit-ups"]["squareness"] == "1/32"
    # 93.3333 °C is 200 °F; 1000 kPa is no psi with one decimal.
    assert (of["Lines"]["design temperature"], of["Lines"]["design pressure"]) == (200, "1000 kPa")
    assert of["Procedures"]["gap max"] == "1/8"


def test_no_text_becomes_a_formula(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    Line.objects.update(service="=1+1")
    export_workbook(Job.objects.get(), tmp_path / "out.xlsx")
    cell = load_workbook(tmp_path / "out.xlsx")["Lines"]["B2"]
    assert (cell.data_type, cell.value) == ("s", "=1+1")


def test_costs_the_same_queries_at_10_and_at_1_000_joints(tmp_path: Path) -> None:
    counts = []
    for size in (10, 1_000):
        job = JobBuilder(code=f"SIZE-{size}")
        many_joints(job, size)
        with CaptureQueriesContext(connection) as queries:
            assert export_workbook(job, tmp_path / "out.xlsx") > size
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 50
    assert not FitUp.objects.exists()
