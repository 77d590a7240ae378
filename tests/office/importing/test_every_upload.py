"""Each hostile file, sent to each place that takes files: named, nothing run, nothing stored or served, memory bounded."""

import os
import resource
import sys
from collections.abc import Callable
from itertools import islice
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from office.importing.archive import Unreadable
from office.importing.sources import open_source
from office.queries.imports import all_faults
from records.models import Certificate, Job, JournalEntry, Work
from tests.builders import CertificateBuilder
from tests.hostile import HOSTILE, TRACE, Hostile
from tests.office.importing.pages import do, page_of, send

LEAST_FILES = 60
MOST_BYTES = 256_000_000
# A file that fills more than it may makes reading end with one of these.
OUT_OF_MEMORY = 77


def test_there_are_enough_of_them() -> None:
    assert len({one.tries for one in HOSTILE}) == len(HOSTILE) >= LEAST_FILES


@pytest.mark.django_db
@pytest.mark.usefixtures("storage")
@pytest.mark.parametrize("hostile", HOSTILE, ids=lambda one: one.tries)
def test_a_hostile_file_is_named_where_a_workbook_is_taken(hostile: Hostile, desk: Client, small_job: Job) -> None:
    entries = JournalEntry.objects.count()
    answer = send(desk, small_job, hostile.make(), hostile.file_name)
    if answer.status_code == 302:
        work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
        work = do(work) if work.state == "queued" else work
        told = [one["message"] for one in all_faults(work.result)]
        answer = desk.get(page_of(work))
        assert told and "Apply</button>" not in answer.text
    else:
        assert answer.status_code == 422 and 'class="faults"' in answer.text
    assert "root:" not in answer.text and "<script>alert" not in answer.text
    assert JournalEntry.objects.count() == entries
    assert not Path(TRACE).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("hostile", HOSTILE, ids=lambda one: one.tries)
def test_a_hostile_file_is_named_where_a_certificate_is_taken(
    hostile: Hostile, desk: Client, small_job: Job, storage: Path
) -> None:
    if hostile.tries == "a PDF called workbook":
        pytest.skip("a PDF is what a certificate is, by whatever name")
    certificate: Certificate = CertificateBuilder(job=small_job, number="MC-1")
    sent = SimpleUploadedFile(hostile.file_name, hostile.make(), content_type="application/pdf")
    answer = desk.post(reverse("certificate", args=[small_job.code, certificate.id]), {"file": sent})
    assert answer.status_code == 422 and "This can&#x27;t be the certificate: " in answer.text
    assert "<script>alert" not in answer.text and not Path(TRACE).exists()
    assert not [one for one in storage.rglob("*") if one.is_file()]
    assert desk.get(reverse("certificate-file", args=[small_job.code, certificate.id])).status_code == 404


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is one of Linux")
@pytest.mark.parametrize("hostile", HOSTILE, ids=lambda one: one.tries)
def test_a_hostile_file_is_read_within_its_memory(hostile: Hostile, tmp_path: Path) -> None:
    path = tmp_path / hostile.file_name
    path.write_bytes(hostile.make())
    assert _in_child(lambda: _read(path)) == 0


def test_the_limit_of_memory_holds() -> None:
    assert _in_child(lambda: len(bytearray(2 * MOST_BYTES))) == OUT_OF_MEMORY


def _read(path: Path) -> None:
    """Read every sheet as an import reads it."""
    try:
        source = open_source(path)
        for name in source.readers:
            for _ in islice(source.rows(name), 1_048_576):
                pass
    except Unreadable:
        pass


def _in_child(deed: Callable[[], object]) -> int:
    """Do something in a process of its own that may take so much memory more than it has; returns how it ended."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    try:
        used = int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")
        resource.setrlimit(resource.RLIMIT_AS, (used + MOST_BYTES, used + MOST_BYTES))
        deed()
        code = 0
    except MemoryError:
        code = OUT_OF_MEMORY
    except BaseException as error:  # noqa: BLE001 - a child must end, whatever it was
        os.write(2, repr(error).encode())
        code = 1
    os._exit(code)
