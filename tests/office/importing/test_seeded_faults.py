"""More than forty kinds of fault in one workbook are told in one pass: cell, value and what is accepted; nothing is written."""

import pytest
from django.test import Client

from office.queries.imports import all_faults
from records.models import Job, JournalEntry, Work
from tests.office.importing.pages import page_of, sent
from tests.office.importing.seeded import SEEDED, Seeded, seeded_sheets
from tests.office.workbooks import as_xlsx, clean_sheets

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]
LEAST_KINDS = 40


def test_every_seeded_fault_is_told_in_one_pass_and_nothing_written(desk: Client, small_job: Job) -> None:
    assert len({one.kind for one in SEEDED}) == len({(one.sheet, one.cell) for one in SEEDED}) >= LEAST_KINDS
    entries = JournalEntry.objects.count()
    work = sent(desk, small_job, as_xlsx(seeded_sheets()))
    told = {(one["sheet"], one["cell"]): one for one in all_faults(work.result)}
    missed = [one for one in SEEDED if not _is_told(one, told.get((one.sheet, one.cell)))]
    assert not missed, [(one.kind, told.get((one.sheet, one.cell))) for one in missed]
    assert work.result["faults"] == len(list(all_faults(work.result))) >= len(SEEDED)
    assert JournalEntry.objects.count() == entries
    assert desk.post(page_of(work), {"reason": "all the same"}).status_code == 422
    assert not Work.objects.exclude(id=work.id).exists()


def test_the_same_cells_without_the_faults_have_none(desk: Client, small_job: Job) -> None:
    assert list(all_faults(sent(desk, small_job, as_xlsx(clean_sheets())).result)) == []


def _is_told(one: Seeded, said: dict[str, str] | None) -> bool:
    """Whether a cell is told with what it holds and what is accepted there."""
    if said is None or one.accepted not in said["message"]:
        return False
    value = "" if one.value is None else str(one.value)
    # Of a formula that fails its error is shown.
    return value in said["value"] or value.startswith("=")
