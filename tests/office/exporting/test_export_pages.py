"""The page of the whole job as a workbook: at once where the job is small, by a worker where it is large."""

from pathlib import Path
from typing import Any
from uuid import UUID

import pytest
from python_calamine import CalamineWorkbook

from office.actions import export_job
from office.actions.export_job import KEPT, KIND
from office.worker import KINDS
from records import work as works
from records.models import Job, User, Work
from tests.conftest import SignIn
from tests.many import many_joints

pytestmark = pytest.mark.django_db
PAGE = "/jobs/HW-7/export/"


@pytest.fixture(autouse=True)
def storage(tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path / "files"
    return tmp_path / "files"


@pytest.fixture
def large(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four joints are many."""
    monkeypatch.setattr(export_job, "AT_ONCE", 3)


def write(work_id: UUID) -> None:
    """Do what a worker does, without its pulse: that would look for the row from outside of this test's transaction."""
    work = works.take(work_id)
    assert work is not None
    works.finish(work, KINDS[work.kind](work, lambda step, done=0, total=0: None))


def sheet_names(content: bytes, folder: Path) -> list[str]:
    (folder / "got.xlsx").write_bytes(content)
    return CalamineWorkbook.from_path(str(folder / "got.xlsx")).sheet_names


def test_a_small_job_is_sent_at_once_to_whoever_may_read_it(
    job: Job, client_person: User, sign_in: SignIn, tmp_path: Path
) -> None:
    many_joints(job, 4)
    browser = sign_in(client_person)
    assert "Download the workbook" in browser.get(PAGE).content.decode()
    answer = browser.get(f"{PAGE}workbook.xlsx")
    assert answer["Content-Disposition"] == 'attachment; filename="HW-7.xlsx"'
    assert "Joints" in sheet_names(b"".join(answer.streaming_content), tmp_path)  # type: ignore[attr-defined]


def test_a_large_job_is_written_by_a_worker_and_kept(
    job: Job, engineer: User, client_person: User, sign_in: SignIn, large: None, tmp_path: Path
) -> None:
    many_joints(job, 4)
    browser = sign_in(engineer)
    assert browser.get(f"{PAGE}workbook.xlsx")["Location"] == PAGE
    answer = browser.post(PAGE)
    work = Work.objects.get(kind=KIND)
    assert answer["Location"] == f"{PAGE}{work.id}/"
    assert "waits for its turn" in browser.get(answer["Location"]).content.decode()
    assert browser.post(PAGE)["Location"] == answer["Location"]
    write(work.id)
    shown = sign_in(client_person).get(answer["Location"]).content.decode()
    assert f"{PAGE}{work.id}/workbook.xlsx" in shown
    sent = sign_in(client_person).get(f"{PAGE}{work.id}/workbook.xlsx")
    assert "Passes" in sheet_names(b"".join(sent.streaming_content), tmp_path)  # type: ignore[attr-defined]


def test_only_the_latest_workbooks_are_kept(
    job: Job, engineer: User, sign_in: SignIn, large: None, storage: Path
) -> None:
    many_joints(job, 4)
    for _ in range(KEPT + 1):
        write(export_job.ask_export(job, by=engineer).id)
    assert len(list((storage / "exports").iterdir())) == KEPT
    first = Work.objects.filter(kind=KIND).order_by("asked_at")[0]
    browser = sign_in(engineer)
    assert browser.get(f"{PAGE}{first.id}/workbook.xlsx").status_code == 404
    assert "no longer kept" in browser.get(f"{PAGE}{first.id}/").content.decode()


def test_a_client_asks_for_nothing(job: Job, client_person: User, sign_in: SignIn, large: None) -> None:
    many_joints(job, 4)
    browser = sign_in(client_person)
    assert "<form method" not in browser.get(PAGE).content.decode().split("<main")[1]
    assert browser.post(PAGE).status_code == 403
    assert not Work.objects.exists()
