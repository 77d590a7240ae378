"""Uploads that nobody used: they go some weeks later, with what was written beside them; what was applied stays."""

from datetime import timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone

from office.actions.apply_workbook import KIND as APPLY
from office.actions.forget_uploads import KEPT, forget_uploads
from office.worker import sweep
from records.models import Job, Work
from records.refusals import Implausible
from tests.office.importing.pages import applied, do, page_of, sent
from tests.office.workbooks import change, small_workbook

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]
LATER = KEPT + timedelta(days=1)


def kept(storage: Path) -> set[str]:
    return {f"imports/{one.name}" for one in (storage / "imports").iterdir()}


def test_what_nobody_applied_goes_and_what_was_applied_stays(desk: Client, small_job: Job, storage: Path) -> None:
    used = applied(desk, sent(desk, small_job, small_workbook(change("Lines", 2, "service", "steam"))))
    check = Work.objects.get(id=used.arguments["check"])
    faulty = sent(desk, small_job, small_workbook(change("Joints", 2, "kind", "glued")))
    stays = {used.arguments["file"], check.result["changes_file"]}
    assert stays < kept(storage)
    assert forget_uploads(timezone.now()) == 0
    # The faulty workbook, the lists of its faults, each and alike, and of its changes.
    assert forget_uploads(timezone.now() + LATER) == 4
    assert kept(storage) == stays
    assert forget_uploads(timezone.now() + LATER) == 0
    assert desk.get(page_of(faulty)).status_code == 200


def test_who_applies_after_that_is_asked_to_send_the_file_again(desk: Client, small_job: Job) -> None:
    check = sent(desk, small_job, small_workbook())
    forget_uploads(timezone.now() + LATER)
    assert desk.get(page_of(check)).status_code == 200
    desk.post(page_of(check), {"reason": ""})
    with pytest.raises(Implausible, match="send it again"):
        do(Work.objects.get(kind=APPLY))


def test_the_sweep_of_a_site_where_nothing_was_sent_in_finds_nothing(storage: Path) -> None:
    assert not storage.exists()
    assert forget_uploads(timezone.now()) == 0
    assert sweep() == 0
