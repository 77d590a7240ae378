"""`export_workbook`: a file that is whole or not there, and faults in a sentence."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from openpyxl import load_workbook
from python_calamine import CalamineWorkbook

from office.exporting.plan_rows import plan_rows
from office.exporting.record_rows import RecordRows
from office.exporting.shelf import Shelf
from office.exporting.shop_rows import shop_rows
from office.exporting.workbook import LEFT_OUT, export_workbook
from office.importing.forms import FORMS, NAMES
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


def test_every_sheet_that_is_read_is_written() -> None:
    job = JobBuilder()
    written = {form.name for rows in (plan_rows, shop_rows) for form, _ in rows(Shelf(job))}
    written |= set(RecordRows(Shelf(job)).rows({}))
    assert written == {name for name in NAMES if name not in LEFT_OUT}


def test_every_column_of_a_row_is_in_some_sheet() -> None:
    """A column that no sheet fills would be lost; those left out are derived, files, or the server's own."""
    filled = {
        (form.model, column.field.removesuffix("_id"))
        for form in FORMS
        if form.model
        for column in form.columns
        if column.field
    }
    named = {
        "job",
        "id",
        "joint",
        "sheet",
        "line",
        "plan",
        "procedure",
        "stamp",
        "piece",
        "spool",
        "lot",
        "heat",
        "part",
        "point",
    }
    own = {
        "recorded_by",
        "recorded_at",
        "device_at",
        "replaces",
        "reason",
        "typed",
        "done_on",
        "done_at",
        "by",
        "sort_key",
    }
    elsewhere = {
        "Line.exam_plan", "Joint.spool_b", "Joint.piece_a", "Joint.piece_b", "Joint.heat_a", "Joint.heat_b", "Joint.od_mm",
        "Joint.wall_mm", "Heat.certificate", "Heat.elements", "FillerLot.certificate", "Stamp.welder", "FitUp.tack_stamp",
        "Pass.filler_lot", "LotMove.quantity", "LotMove.unit", "OwnerLimit.value", "Confirmation.is_withdrawn",
        "Job.second_factor_demanded",
    }  # fmt: skip
    lost = {
        f"{model.__name__}.{field.name}"
        for model in {form.model for form in FORMS if form.model}
        for field in model._meta.concrete_fields
        if field.name not in named | own | set(getattr(model, "DERIVED", ())) and (model, field.name) not in filled
    }
    assert lost == elsewhere
