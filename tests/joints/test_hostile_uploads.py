"""Files made to do harm, sent where a certificate is expected: each is refused in a sentence, and none is ever run."""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from pikepdf import Array, AttachedFileSpec, Dictionary, Name, Pdf, Stream

from joints.attached_files import MOST_BYTES, plain_name
from records.models import Certificate, Job, User
from tests.builders import CertificateBuilder
from tests.conftest import SignIn
from tests.reports import bombs

pytestmark = pytest.mark.django_db
SCRIPT = b"<script>alert(document.cookie)</script>"
Make = Callable[[], bytes]


@pytest.fixture(autouse=True)
def own_files(settings: Any, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def certificate(job: Job) -> Certificate:
    return CertificateBuilder(job=job, number="MC-1")


def pdf(change: Callable[[Pdf], object] | None = None) -> bytes:
    """A PDF of one page, changed."""
    with Pdf.new() as made:
        made.add_blank_page()
        if change:
            change(made)
        written = io.BytesIO()
        made.save(written, deterministic_id=True)
    return written.getvalue()


def archive(**files: bytes) -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in files.items():
            made.writestr(name, content)
    return written.getvalue()


def png() -> bytes:
    """The smallest picture."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0\0")) + chunk(b"IEND", b"")


def deep(made: Pdf) -> None:
    nest: Any = Array([])
    for _ in range(60):
        nest = Array([nest])
    made.Root.Deep = nest


def acting(**action: Any) -> Callable[[Pdf], None]:
    def change(made: Pdf) -> None:
        made.Root.OpenAction = Dictionary(**action)

    return change


def carrying(made: Pdf) -> None:
    made.attachments["run.exe"] = AttachedFileSpec(made, b"MZ", filename="run.exe")


def on_page(made: Pdf) -> None:
    made.pages[0].AA = Dictionary(O=Dictionary(S=Name.JavaScript, JS="app.alert(1)"))


def unused_script(made: Pdf) -> None:
    made.Root.Spare = made.make_indirect(Dictionary(S=Name.JavaScript, JS="app.alert(1)"))


def film(made: Pdf) -> None:
    made.pages[0].Annots = Array([made.make_indirect(Dictionary(Type=Name.Annot, Subtype=Name.RichMedia))])


def with_form(made: Pdf) -> None:
    made.Root.AcroForm = Dictionary(XFA=Stream(made, b"<xdp/>"), Fields=Array([]))


# What is sent, its name, and a part of the sentence that refuses it.
HOSTILE: dict[str, tuple[Make, str, str]] = {
    "a picture": (png, "mill.png", "It is not a PDF."),
    "a picture called PDF": (png, "mill.pdf", "It is not a PDF."),
    "a JPEG": (lambda: b"\xff\xd8\xff\xe0\0\x10JFIF" + bytes(90), "mill.jpg", "It is not a PDF."),
    "a GIF with a script behind": (lambda: b"GIF89a/*" + bytes(9) + b"*/=1;alert(1)", "a.gif", "It is not a PDF."),
    "a drawing with a script": (
        lambda: b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)">' + SCRIPT + b"</svg>", "a.svg", "It is not a PDF."
    ),
    "a drawing that says PDF": (lambda: b"<svg><!--%PDF-1.4-->" + SCRIPT + b"</svg>", "a.pdf", "before its beginning"),
    "a page of HTML": (lambda: b"<!doctype html>" + SCRIPT, "a.html", "It is not a PDF."),
    "a page of HTML before a PDF": (lambda: b"<html>" + SCRIPT + b"\n" + pdf(), "a.pdf", "before its beginning"),
    "a page of HTML behind a PDF": (lambda: pdf() + b"<html>" + SCRIPT, "a.pdf", "behind its end"),
    "a program": (lambda: b"MZ" + bytes(100), "mill.exe", "It is not a PDF."),
    "a program before a PDF": (lambda: b"\x7fELF" + bytes(60) + pdf(), "mill.pdf", "before its beginning"),
    "a shell script before a PDF": (lambda: b"#!/bin/sh\nrm -rf ~\n" + pdf(), "mill.pdf", "before its beginning"),
    "an archive": (lambda: archive(a=b"a"), "mill.zip", "It is not a PDF."),
    "an archive that leaves its folder": (lambda: archive(**{"../../etc/cron.d/x": b"a"}), "a.zip", "It is not a PDF."),
    "an archive that unpacks to a gigabyte": (lambda: archive(a=bytes(1 << 26)), "a.zip", "It is not a PDF."),
    "a workbook with an outside entity": (
        lambda: archive(**{"xl/workbook.xml": b'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>'}),
        "a.xlsx", "It is not a PDF.",
    ),
    "a PDF that is an archive too": (lambda: pdf() + archive(a=b"MZ"), "mill.pdf", "an archive as well"),
    "a PDF with an archive in its last comment": (
        lambda: pdf().removesuffix(b"\n") + b"\n%" + archive(a=b"MZ") + b"\n%%EOF\n", "mill.pdf", "an archive as well"
    ),
    "a PDF that runs JavaScript": (lambda: pdf(acting(S=Name.JavaScript, JS="app.alert(1)")), "a.pdf", "JavaScript"),
    "a PDF that runs JavaScript on a page": (lambda: pdf(on_page), "a.pdf", "JavaScript"),
    "a PDF with a script that nothing starts": (lambda: pdf(unused_script), "a.pdf", "JavaScript"),
    "a PDF that starts a program": (lambda: pdf(acting(S=Name.Launch, F="cmd.exe")), "a.pdf", "starts other programs"),
    "a PDF with a program in it": (lambda: pdf(carrying), "a.pdf", "other files embedded"),
    "a PDF with film": (lambda: pdf(film), "a.pdf", "film or sound"),
    "a PDF that is a form of its own program": (lambda: pdf(with_form), "a.pdf", "only its own program"),
    "a PDF nested without end": (lambda: pdf(deep), "a.pdf", "nested too deeply"),
    "a PDF that only says so": (lambda: b"%PDF-1.7\n" + bytes(range(256)) * 40, "a.pdf", "not a readable PDF"),
    "a PDF cut in the middle": (lambda: pdf()[: len(pdf()) // 3], "a.pdf", ""),
    "a PDF that unpacks to a gigabyte": (lambda: bombs.object_stream(bombs.blanks, 1024), "a.pdf", "more memory or time"),
    "a PDF of millions of arrays": (lambda: bombs.object_stream(bombs.brackets, 64), "a.pdf", "more memory or time"),
    "a PDF packed twice": (lambda: bombs.object_stream(bombs.blanks, 1024, twice=True), "a.pdf", "more memory or time"),
    "a PDF with a huge list of places": (lambda: bombs.cross_references(400), "a.pdf", ""),
    "more than can be": (lambda: pdf() + bytes(MOST_BYTES), "a.pdf", "more than 20 MB"),
    "nothing": (lambda: b"", "a.pdf", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_is_refused_in_a_sentence_and_not_stored(
    job: Job, certificate: Certificate, engineer: User, sign_in: SignIn, own_files: Path, name: str
) -> None:
    make, file_name, said = HOSTILE[name]
    desk = sign_in(engineer)
    sent = SimpleUploadedFile(file_name, make(), content_type="application/pdf")
    answer = desk.post(reverse("certificate", args=[job.code, certificate.id]), {"file": sent})
    assert answer.status_code == 422
    assert "This can&#x27;t be the certificate: " in answer.text and said in answer.text
    certificate.refresh_from_db()
    assert not certificate.file
    assert [one for one in own_files.rglob("*") if one.is_file()] == []
    assert desk.get(reverse("certificate-file", args=[job.code, certificate.id])).status_code == 404


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("../../../etc/cron.d/mill.pdf", "mill.pdf"),
        ("..\\..\\windows\\mill.pdf", "mill.pdf"),
        ("/etc/passwd", "passwd.pdf"),
        ("mill.html", "mill.html.pdf"),
        ("mill.pdf.exe", "mill.pdf.exe.pdf"),
        ("mill\u202efdp.exe", "millfdp.exe.pdf"),
        ("a\r\nSet-Cookie: b=c.pdf", "aSet-Cookie: b=c.pdf"),
        ("a\x00b.pdf", "ab.pdf"),
        ("....", ".pdf"),
        ("Prüfzeugnis 3.1.PDF", "Prüfzeugnis 3.1.PDF"),
        ("x" * 300 + ".pdf", "x" * 196 + ".pdf"),
    ],
)
def test_keeps_of_a_name_what_can_do_no_harm(sent: str, kept: str) -> None:
    assert plain_name(sent) == kept


@pytest.mark.parametrize("file_name", ["../../mill.pdf", "mill.html", 'a";x=".pdf', "a\r\nX-Evil: 1.pdf"])
def test_a_good_file_with_a_bad_name_is_kept_in_its_place_and_sent_as_something_to_save(
    job: Job, certificate: Certificate, engineer: User, sign_in: SignIn, own_files: Path, file_name: str
) -> None:
    desk = sign_in(engineer)
    sent = SimpleUploadedFile(file_name, pdf(), content_type="text/html")
    sent.name = file_name  # as a program sends it; a browser would have cut the folders off
    assert desk.post(reverse("certificate", args=[job.code, certificate.id]), {"file": sent}).status_code == 302
    certificate.refresh_from_db()
    assert [one.relative_to(own_files) for one in own_files.rglob("*") if one.is_file()] == [
        Path(f"certificates/{certificate.sha256}.pdf")
    ]
    answer = desk.get(reverse("certificate-file", args=[job.code, certificate.id]))
    assert answer["Content-Type"] == "application/pdf" and answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"].startswith("attachment;") and "X-Evil" not in answer.headers
    assert "default-src 'self'" in answer["Content-Security-Policy"]


def test_nothing_that_was_sent_is_served_by_its_place(client: Any, job: Job, certificate: Certificate) -> None:
    for path in ("/media/certificates/x.pdf", "/files/certificates/x.pdf", "/certificates/x.pdf"):
        assert client.get(path).status_code == 404
