"""Exported, imported where nothing is and exported again, a job says the same in every cell."""

from pathlib import Path

import pytest

from office.importing.workbook import import_workbook
from records.models import Job
from tests.office.exporting.generated import Made
from tests.office.exporting.round_trip import there_and_back
from tests.office.importing.books import import_sheets
from tests.office.workbooks import clean_sheets
from tests.records.scene import every_kind

pytestmark = pytest.mark.django_db
DEMO = Path(__file__).parents[3] / "demo" / "OB-2604.xlsx"


def assert_the_same(job: Job, folder: Path) -> None:
    before, after = there_and_back(job, folder)
    for sheet, rows in before.cells.items():
        assert after.cells[sheet] == rows, sheet
    assert after.joints == before.joints
    assert after.findings == before.findings
    assert after.counts == before.counts


def test_a_job_with_a_record_of_every_kind_comes_back_the_same(tmp_path: Path) -> None:
    assert_the_same(every_kind().job, tmp_path)


def test_a_small_job_comes_back_the_same(tmp_path: Path) -> None:
    import_sheets(clean_sheets(), tmp_path)
    assert_the_same(Job.objects.get(), tmp_path)


def test_a_line_without_material_and_size_comes_back_the_same(tmp_path: Path) -> None:
    sheets = clean_sheets()
    for name in ("material", "NPS", "schedule"):
        sheets["Lines"][1][sheets["Lines"][0].index(name)] = None
    assert import_sheets(sheets, tmp_path).faults == []
    assert_the_same(Job.objects.get(), tmp_path)


def test_the_demonstration_comes_back_the_same(tmp_path: Path) -> None:
    outcome = import_workbook(DEMO, "OB-2604", by=None, may_create=True)
    assert outcome.faults == []
    assert_the_same(Job.objects.get(), tmp_path)


@pytest.mark.parametrize("number", range(3))
def test_a_job_made_at_random_comes_back_the_same(number: int, tmp_path: Path) -> None:
    assert_the_same(Made(number, tmp_path).work(25), tmp_path)


@pytest.mark.soak
@pytest.mark.parametrize("number", range(100, 120))
def test_twenty_jobs_made_at_random_come_back_the_same(number: int, tmp_path: Path) -> None:
    assert_the_same(Made(number, tmp_path).work(150), tmp_path)
