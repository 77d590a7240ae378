"""Attaching the paper of a certificate: what is taken, what is refused, and what is kept."""

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pikepdf import Dictionary, Name, Pdf

from joints.actions.attach_certificate import attach_certificate
from joints.attached_files import MOST_BYTES
from records.models import Certificate, Job, JournalEntry, User
from records.refusals import Implausible, NotAllowed
from tests.builders import CertificateBuilder

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def certificate(job: Job) -> Certificate:
    return CertificateBuilder(job=job, number="MC-1")


def pdf(pages: int = 1, *, script: bool = False) -> bytes:
    with Pdf.new() as made:
        for _ in range(pages):
            made.add_blank_page()
        if script:
            made.Root.OpenAction = Dictionary(S=Name.JavaScript, JS="app.alert(1)")
        written = BytesIO()
        made.save(written, deterministic_id=True)
    return written.getvalue()


def entries(job: Job) -> list[JournalEntry]:
    return list(JournalEntry.objects.filter(job=job, kind="certificate").order_by("number"))


def test_attaches_a_pdf_and_writes_it_to_the_journal(job: Job, certificate: Certificate, engineer: User) -> None:
    attach_certificate(certificate, pdf(), "C:\\papers\\mill report.pdf", job=job, by=engineer)
    certificate.refresh_from_db()
    assert certificate.file_name == "mill report.pdf"
    assert default_storage.open(certificate.file.name).read() == pdf()
    [entry] = entries(job)
    assert certificate.sha256 in entry.payload and len(certificate.sha256) == 64


def test_the_same_file_again_changes_nothing(job: Job, certificate: Certificate, engineer: User) -> None:
    for _ in range(2):
        attach_certificate(certificate, pdf(), "a.pdf", job=job, by=engineer)
    assert len(entries(job)) == 1


def test_a_file_cut_short_in_the_storage_is_mended_by_attaching_it_again(
    job: Job, certificate: Certificate, engineer: User
) -> None:
    attach_certificate(certificate, pdf(), "a.pdf", job=job, by=engineer)
    Path(certificate.file.path).write_bytes(pdf()[:100])
    attach_certificate(certificate, pdf(), "a.pdf", job=job, by=engineer)
    assert default_storage.open(certificate.file.name).read() == pdf()
    assert len(entries(job)) == 1


def test_refuses_to_replace_without_a_reason_what_another_attached_meanwhile(
    job: Job, certificate: Certificate, engineer: User
) -> None:
    as_shown = Certificate.objects.get(id=certificate.id)
    attach_certificate(certificate, pdf(), "a.pdf", job=job, by=engineer)
    with pytest.raises(Implausible, match="say why this one replaces it"):
        attach_certificate(as_shown, pdf(2), "b.pdf", job=job, by=engineer)
    assert len(entries(job)) == 1


def test_replaces_with_a_reason_and_keeps_the_file_before(job: Job, certificate: Certificate, engineer: User) -> None:
    attach_certificate(certificate, pdf(1), "a.pdf", job=job, by=engineer)
    before = certificate.file.name
    with pytest.raises(Implausible, match="why this one replaces it"):
        attach_certificate(certificate, pdf(2), "b.pdf", job=job, by=engineer)
    attach_certificate(certificate, pdf(2), "b.pdf", job=job, by=engineer, reason="The mill sent page 2.")
    assert certificate.file.name != before and default_storage.exists(before)
    assert entries(job)[-1].reason == "The mill sent page 2."


@pytest.mark.parametrize(
    "content", [b"", b"MZ not a pdf", b"%PDF-1.4 only says so", pdf(script=True), b"x" * (MOST_BYTES + 1)]
)
def test_refuses_what_is_no_paper(job: Job, certificate: Certificate, engineer: User, content: bytes) -> None:
    with pytest.raises(Implausible) as refusal:
        attach_certificate(certificate, content, "a.pdf", job=job, by=engineer)
    assert refusal.value.faults[0].field == "file"
    certificate.refresh_from_db()
    assert not certificate.file and entries(job) == []


def test_only_whoever_plans_may_attach(job: Job, certificate: Certificate, welder: User, client_person: User) -> None:
    for person in (welder, client_person):
        with pytest.raises(NotAllowed):
            attach_certificate(certificate, pdf(), "a.pdf", job=job, by=person)
    assert entries(job) == []


def test_the_page_attaches_and_sends_the_file_as_something_to_save(
    job: Job, certificate: Certificate, engineer: User, client_person: User, sign_in
) -> None:
    page = reverse("certificate", args=[job.code, certificate.id])
    file = reverse("certificate-file", args=[job.code, certificate.id])
    assert sign_in(client_person).get(file).status_code == 404
    sent = SimpleUploadedFile("mill.html", pdf(), content_type="text/html")
    assert sign_in(engineer).post(page, {"file": sent}).status_code == 302
    answer = sign_in(client_person).get(file)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"].startswith("attachment")
    assert b"".join(answer.streaming_content) == pdf()


def test_the_page_says_why_a_file_was_not_taken(job: Job, certificate: Certificate, engineer: User, sign_in) -> None:
    page = reverse("certificate", args=[job.code, certificate.id])
    answer = sign_in(engineer).post(page, {"file": SimpleUploadedFile("a.pdf", b"no pdf at all")})
    shown = answer.content.decode()
    assert answer.status_code == 422
    assert 'href="#file"' in shown and 'aria-invalid="true"' in shown and "It is not a PDF." in shown
    assert sign_in(engineer).post(page, {}).status_code == 422


def test_a_client_sees_no_form_and_may_not_post(
    job: Job, certificate: Certificate, client_person: User, sign_in
) -> None:
    page = reverse("certificate", args=[job.code, certificate.id])
    assert 'type="file"' not in sign_in(client_person).get(page).content.decode()
    assert sign_in(client_person).post(page, {"file": SimpleUploadedFile("a.pdf", pdf())}).status_code == 403


def test_a_certificate_of_another_job_does_not_exist(
    job: Job, other_job: Job, engineer: User, visitor: User, certificate: Certificate, sign_in
) -> None:
    foreign = CertificateBuilder(job=other_job)
    assert sign_in(engineer).get(reverse("certificate", args=[job.code, foreign.id])).status_code == 404
    assert sign_in(visitor).get(reverse("certificate", args=[job.code, certificate.id])).status_code == 404


def test_the_same_pdf_on_two_certificates_is_allowed_and_told(
    job: Job, certificate: Certificate, engineer: User, sign_in
) -> None:
    other = CertificateBuilder(job=job, number="MC-2")
    browser = sign_in(engineer)
    for one in (certificate, other):
        sent = {"file": SimpleUploadedFile("a.pdf", pdf(), "application/pdf")}
        answer = browser.post(reverse("certificate", args=[job.code, one.id]), sent, follow=True)
    assert "The same file is attached to MC-1 too; one PDF may hold many heats." in answer.text
    shown = browser.get(reverse("certificate", args=[job.code, certificate.id])).text
    assert "Same file as" in shown and ">MC-2</a>" in shown
    CertificateBuilder(job=job, number="MC-3")
    third = browser.get(reverse("certificate", args=[job.code, Certificate.objects.get(number="MC-3").id])).text
    assert "Same file as" not in third


def test_what_is_wrong_with_the_file_and_the_missing_reason_are_told_together(
    job: Job, certificate: Certificate, engineer: User
) -> None:
    attach_certificate(certificate, pdf(), "a.pdf", job=job, by=engineer)
    with pytest.raises(Implausible) as refusal:
        attach_certificate(certificate, b"MZ", "b.pdf", job=job, by=engineer)
    assert [fault.field for fault in refusal.value.faults] == ["file", "reason"]
