"""Attaching the papers of welding: what is taken and refused, what the pages show, who may."""

from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, transaction
from django.urls import reverse

from joints.actions.attach_paper import attach_paper
from records.models import Attachment, Job, JournalEntry, Procedure, Qualification, User
from records.refusals import Implausible, NotAllowed
from records.stored_files import bad_files
from tests.builders import ProcedureBuilder, QualificationBuilder, StampBuilder, WelderBuilder
from tests.conftest import SignIn
from tests.joints.test_attach_certificate import pdf

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def procedure(job: Job) -> Procedure:
    return ProcedureBuilder(job=job, number="W-11")


@pytest.fixture
def qualification(job: Job) -> Qualification:
    return QualificationBuilder(stamp=StampBuilder(welder=WelderBuilder(job=job)), wpq="K7-1")


def entries(job: Job) -> int:
    return JournalEntry.objects.filter(job=job, kind="attachment").count()


def test_attaches_a_wps_and_writes_it_to_the_journal(job: Job, procedure: Procedure, engineer: User) -> None:
    row = attach_paper(procedure, "WPS", pdf(), "W-11 rev 2.pdf", job=job, by=engineer)
    assert default_storage.open(row.file.name).read() == pdf()
    assert (row.file_name, entries(job)) == ("W-11 rev 2.pdf", 1)
    assert list(bad_files(job)) == []


def test_the_same_file_again_changes_nothing(job: Job, procedure: Procedure, engineer: User) -> None:
    for _ in range(2):
        attach_paper(procedure, "WPS", pdf(), "a.pdf", job=job, by=engineer)
    assert (Attachment.objects.count(), entries(job)) == (1, 1)


def test_a_replacement_needs_a_reason_and_keeps_the_file_before(job: Job, procedure: Procedure, engineer: User) -> None:
    first = attach_paper(procedure, "WPS", pdf(), "a.pdf", job=job, by=engineer).file.name
    with pytest.raises(Implausible, match="say why this one replaces it"):
        attach_paper(procedure, "WPS", pdf(2), "b.pdf", job=job, by=engineer)
    attach_paper(procedure, "WPS", pdf(2), "b.pdf", job=job, by=engineer, reason="revision 3")
    assert Attachment.objects.get().file_name == "b.pdf"
    assert default_storage.exists(first) and entries(job) == 2


@pytest.mark.parametrize(
    ("content", "kind", "said"),
    [
        (b"", "WPS", "The file is empty"),
        (b"hello", "WPS", "It is not a PDF"),
        (pdf(script=True), "WPS", "It contains JavaScript"),
        (pdf(), "WPQ", "There is no paper 'WPQ' of this"),
    ],
)
def test_refuses_what_is_no_such_paper(
    job: Job, procedure: Procedure, engineer: User, content: bytes, kind: str, said: str
) -> None:
    with pytest.raises(Implausible, match=said):
        attach_paper(procedure, kind, content, "a.pdf", job=job, by=engineer)
    assert not Attachment.objects.exists() and not entries(job)


def test_a_foreman_may_not(job: Job, procedure: Procedure, foreman: User) -> None:
    with pytest.raises(NotAllowed):
        attach_paper(procedure, "WPS", pdf(), "a.pdf", job=job, by=foreman)


def test_the_database_keeps_a_paper_to_one_thing_of_its_kind(job: Job, procedure: Procedure) -> None:
    said = {"job": job, "file": "a.pdf", "file_name": "a.pdf", "size": 1, "sha256": "0" * 64}
    for wrong in ({"kind": "WPQ", "procedure": procedure}, {"kind": "WPS"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Attachment.objects.create(**said, **wrong)


def test_the_page_attaches_and_serves_it_as_a_file_to_save(
    job: Job, procedure: Procedure, engineer: User, sign_in: SignIn
) -> None:
    browser = sign_in(engineer)
    page = reverse("procedure", args=[job.code, procedure.pk])
    assert "No file yet" in browser.get(page).content.decode()
    sent = {"kind": "WPS", "file": SimpleUploadedFile("w.pdf", pdf(), "application/pdf")}
    shown = browser.post(page, sent, follow=True).content.decode()
    assert "w.pdf is attached as the WPS." in shown
    answer = browser.get(reverse("attachment-file", args=[job.code, Attachment.objects.get().pk]))
    assert answer["Content-Disposition"].startswith("attachment") and b"".join(answer.streaming_content) == pdf()
    listed = browser.get(reverse("procedures", args=[job.code])).content.decode()
    assert "on file" in listed and "missing" in listed
    refused = browser.post(page, {"kind": "PQR", "file": SimpleUploadedFile("w.pdf", b"no")})
    assert refused.status_code == 422 and "It is not a PDF." in refused.content.decode()


def test_the_page_of_a_welder_leads_to_the_records_of_the_tests(
    job: Job, qualification: Qualification, engineer: User, sign_in: SignIn
) -> None:
    browser = sign_in(engineer)
    own = reverse("qualification", args=[job.code, qualification.pk])
    welder = reverse("welder", args=[job.code, qualification.stamp_id])
    assert own in browser.get(welder).content.decode()
    browser.post(own, {"kind": "WPQ", "file": SimpleUploadedFile("k7.pdf", pdf(), "application/pdf")})
    assert "k7.pdf" in browser.get(welder).content.decode()
