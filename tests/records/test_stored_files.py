"""Each stored file is held against the sum in its journal entry: what is gone or was changed is named."""

from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import transaction
from django.utils import timezone
from pikepdf import Pdf

from joints.actions.attach_certificate import attach_certificate
from records import journal
from records.models import Certificate, Package
from records.models.base import new_id
from records.stored_files import bad_files
from tests.records.scene import Scene, every_kind

pytestmark = pytest.mark.django_db


def pdf(pages: int) -> bytes:
    with Pdf.new() as made:
        for _ in range(pages):
            made.add_blank_page()
        written = BytesIO()
        made.save(written, deterministic_id=True)
    return written.getvalue()


@pytest.fixture
def scene() -> Scene:
    """A job with a package, and a certificate whose file was replaced once."""
    scene = every_kind()
    certificate = Certificate.objects.get()
    for pages in (1, 2):
        attach_certificate(
            certificate, pdf(pages), "a.pdf", job=scene.job, by=scene.engineer, reason="the mill sent a better copy"
        )
    return scene


def told(scene: Scene) -> list[str]:
    return [message for _, message in bad_files(scene.job)]


def test_files_as_they_were_written_are_sound(scene: Scene) -> None:
    assert told(scene) == []


@pytest.mark.parametrize("which", ["certificate", "package", "manifest"])
def test_a_changed_file_is_named(scene: Scene, which: str) -> None:
    package = Package.objects.get()
    kept = {"certificate": Certificate.objects.get().file, "package": package.file, "manifest": package.manifest}[which]
    content = bytearray(Path(kept.path).read_bytes())
    content[-1] ^= 1
    Path(kept.path).write_bytes(content)
    [message] = told(scene)
    assert kept.name in message and "was changed" in message


def test_a_file_that_is_gone_is_named_and_so_is_the_one_that_it_replaced(scene: Scene, own_files: Path) -> None:
    for path in (own_files / "certificates").iterdir():
        path.unlink()
    messages = told(scene)
    assert len(messages) == 2
    assert all("of the certificate MC-77 is gone from the storage" in one for one in messages)


def test_the_command_exits_1_and_names_every_bad_file(scene: Scene, capsys: pytest.CaptureFixture[str]) -> None:
    package = Package.objects.get()
    Path(package.file.path).unlink()
    Path(package.manifest.path).write_text("other sums")
    with pytest.raises(SystemExit) as exit_code:
        call_command("verify_journal", job=scene.job.code)
    said = capsys.readouterr().err
    assert exit_code.value.code == 1
    assert f"the file {package.file.name}" in said and f"the manifest {package.manifest.name}" in said


def test_a_package_of_before_sums_of_manifests_has_its_manifest_looked_for(scene: Scene) -> None:
    old = Package.objects.get()
    old.id, old.file, old.manifest, old.manifest_sha256 = new_id(), old.file, "packages/old.txt", ""
    with transaction.atomic():
        old.save(force_insert=True)
        journal.append([old], job=scene.job, by=scene.engineer, at=timezone.now())
    [message] = told(scene)
    assert "packages/old.txt" in message and "is gone from the storage" in message
    default_storage.save("packages/old.txt", ContentFile(b"whatever it says"))
    assert told(scene) == []
