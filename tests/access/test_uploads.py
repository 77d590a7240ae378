"""Each hostile file, sent to each reader of files: named, nothing run, written or served, memory bounded.

Three routes read a paper by the same code. `make soak` sends each file to each of them, every other run each to one.
"""

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path, PurePath
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from office.importing.ifc import SUFFIX
from office.importing.sources import SUFFIXES
from office.queries.imports import all_faults
from records import work as works
from records.models import (
    Attachment,
    Certificate,
    Job,
    JournalEntry,
    Procedure,
    Qualification,
    Sheet,
    SheetDrawing,
    Work,
)
from records.refusals import Refusal
from tests.access.table import API
from tests.access.test_api_matrix import (
    API_ROUTES,
    made_api_world,  # noqa: F401
)
from tests.access.test_api_matrix import world as api_world  # noqa: F401
from tests.access.test_matrix import BACKEND, Route, World
from tests.access.uploads import homes, reaching_modules, upload_routes
from tests.builders import CertificateBuilder
from tests.hostile import HOSTILE, KINDS, NO_PDF, Hostile
from tests.hostile_bytes import TRACE, pdf, watched
from tests.office.importing.pages import do, page_of

LEAST_FILES = 80
MOST_MEMORY_KB = 256_000
A_PDF = "a PDF called workbook"
SOAK = pytest.mark.soak
READ_BOOK = """
import sys
from itertools import islice
from pathlib import Path
from office.importing.archive import Unreadable
from office.importing.sources import open_source
try:
    source = open_source(Path(sys.argv[1]))
    for name in source.readers:
        for _ in islice(source.rows(name), 1_048_576):
            pass
except Unreadable:
    pass
"""


@dataclass(frozen=True)
class Upload:
    """A route that takes a file: what it is about, what its form says beside, and how its refusals begin.

    of      the page's own argument, and the row of a job that it names
    folder  where in the storage the files are that it takes
    again   the route that sends a file it took, and the row that this is about
    """

    of: tuple[str, Callable[[Job], Any]] | None
    refusal: str
    folder: str = ""
    again: tuple[str, type[Any]] | None = None
    form: dict[str, str] = field(default_factory=dict)

    def url(self, name: str, job: Job) -> str:
        named = {self.of[0]: self.of[1](job).pk} if self.of else {}
        return reverse(name, kwargs={"code": job.code} | named)

    def said_of(self, hostile: Hostile) -> str:
        """Words that the refusal of a file has."""
        if self.of is None:
            is_known = PurePath(hostile.file_name).suffix in (*SUFFIXES, SUFFIX)
            return hostile.book or ("" if is_known else "is not read" if "." in hostile.file_name else "no ending")
        return "" if self.folder == "drawings" and hostile.paper == NO_PDF else hostile.paper


def _certificate(job: Job) -> Certificate:
    return Certificate.objects.filter(job=job, number="MC-1").first() or CertificateBuilder(job=job, number="MC-1")


PAPER = "This can&#x27;t be this paper: "
OF_PROCEDURE = ("procedure", lambda job: Procedure.objects.filter(job=job).first())
OF_QUALIFICATION = ("qualification", lambda job: Qualification.objects.filter(job=job).first())
UPLOADS = {
    "certificate": Upload(
        ("certificate", _certificate), "This can&#x27;t be the certificate: ", "certificates",
        ("certificate-file", Certificate),
    ),
    "procedure": Upload(OF_PROCEDURE, PAPER, "attachments", ("attachment-file", Attachment), {"kind": "WPS"}),
    "qualification": Upload(OF_QUALIFICATION, PAPER, "attachments", ("attachment-file", Attachment), {"kind": "WPQ"}),
    "drawing": Upload(
        ("sheet", lambda job: Sheet.objects.filter(job=job).first()), "This can&#x27;t be the drawing: ", "drawings",
        ("drawing-original", SheetDrawing), {"do": "upload", "revision": "B"},
    ),
    "imports": Upload(None, 'class="faults"'),
}  # fmt: skip
PAPERS = [name for name, upload in UPLOADS.items() if upload.again]
# The routes that read by the same code.
READERS = (("certificate", "procedure", "qualification"), ("drawing",), ("imports",))


def send(desk: Client, job: Job, name: str, content: bytes, file_name: str) -> Any:
    sent = SimpleUploadedFile(file_name, content, content_type="application/pdf")
    sent.name = file_name  # as a program sends it; a browser would have cut the folders off
    return desk.post(UPLOADS[name].url(name, job), {"file": sent} | UPLOADS[name].form)


@cache
def made(hostile: Hostile) -> bytes:
    """The bytes of a file; some take seconds to make, and go to several routes."""
    return hostile.make()


def files_in(folder: Path) -> set[Path]:
    return {one.relative_to(folder) for one in folder.rglob("*") if one.is_file()}


def memory_kb(name: str) -> int:
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(name))


def begin_to_watch() -> int:
    """Forget the most memory that this process has had; returns what it has now, in kB."""
    if sys.platform != "linux":
        return 0
    Path("/proc/self/clear_refs").write_text("5")
    return memory_kb("VmRSS")


def most_since(before: int) -> int:
    return memory_kb("VmHWM") - before if sys.platform == "linux" else 0


def cases(*, all_of_them: bool) -> Iterator[tuple[str, Hostile]]:
    """The routes and the files sent to each: all, or those of each kind to the routes of one reader in turn."""
    for files in KINDS.values():
        for place, hostile in enumerate(files):
            for routes in READERS:
                for name in routes if all_of_them else (routes[place % len(routes)],):
                    # A PDF is what a paper is, by whatever name.
                    if name not in PAPERS or hostile.tries != A_PDF:
                        yield name, hostile


ALWAYS = set(cases(all_of_them=False))


def test_every_route_that_takes_a_file_is_held_here() -> None:
    found = upload_routes()
    assert {route.name for route in found} == set(UPLOADS) == {name for routes in READERS for name in routes}
    assert reaching_modules() == homes(found)


def test_there_are_enough_hostile_files() -> None:
    assert len({one.tries for one in HOSTILE}) == len(HOSTILE) >= LEAST_FILES


def test_every_run_sends_each_file_to_each_reader_and_each_kind_to_each_route() -> None:
    for routes in READERS:
        sent = {hostile for name, hostile in ALWAYS if name in routes}
        assert {one.tries for one in set(HOSTILE) - sent} <= {A_PDF}
        for name in routes:
            assert all(any((name, one) in ALWAYS for one in files) for files in KINDS.values())


@pytest.mark.parametrize(
    ("name", "hostile"),
    [
        pytest.param(name, hostile, id=f"{name}-{hostile.tries}", marks=() if (name, hostile) in ALWAYS else SOAK)
        for name, hostile in cases(all_of_them=True)
    ],
)
def test_a_hostile_file_is_named_and_nothing_of_it_taken(
    name: str,
    hostile: Hostile,
    desk: Client,
    small_job: Job,
    storage: Path,
) -> None:
    upload, content = UPLOADS[name], made(hostile)
    upload.url(name, small_job)  # with what it is about
    entries, files = JournalEntry.objects.count(), files_in(storage)
    before = begin_to_watch()
    answer = send(desk, small_job, name, content, hostile.file_name)
    if name == "imports" and answer.status_code == 302:
        answer = _read(desk, answer)
    else:
        assert answer.status_code == 422 and upload.refusal in answer.text
        assert files_in(storage) == files
    grown = most_since(before)
    assert upload.said_of(hostile).casefold() in answer.text.casefold()
    assert "root:" not in answer.text and "<script>alert" not in answer.text
    assert JournalEntry.objects.count() == entries and not Path(TRACE).exists()
    assert not any(
        row.objects.filter(job=small_job).exclude(file="").exists() for row in (Attachment, SheetDrawing, Certificate)
    )
    assert grown < MOST_MEMORY_KB, f"{grown} kB"


def _read(desk: Client, answer: Any) -> Any:
    """What the page says of a file that waits to be read, once it is."""
    work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
    if work.state == "queued":
        try:
            do(work)
        except Refusal as refusal:
            works.fail(Work.objects.get(id=work.id), refusal.message)
        work.refresh_from_db()
    page = desk.get(page_of(work))
    assert work.state == "failed" or all_faults(work.result)
    assert "Apply</button>" not in page.text and "Look at it</button>" not in page.text
    return page


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is one of Linux")
@pytest.mark.parametrize("hostile", [one for one in HOSTILE if one.is_bomb], ids=lambda one: one.tries)
def test_what_reads_a_bomb_stays_within_its_memory(hostile: Hostile, tmp_path: Path) -> None:
    content, path = made(hostile), tmp_path / hostile.file_name
    path.write_bytes(content)
    readers = {
        "a paper": ["-m", "reports.vetting"],
        "a drawing": ["-m", "reports.drawing_pages", str(tmp_path)],
        "a workbook": ["-c", READ_BOOK, str(path)],
        "a model": ["-m", "office.importing.ifc_reader", str(path)],
    }
    used = {one: watched([sys.executable, *command], content)[1] for one, command in readers.items()}
    assert max(used.values()) < MOST_MEMORY_KB, used


@pytest.mark.skipif(sys.platform != "linux", reason="the limit of memory is one of Linux")
def test_too_much_memory_would_be_seen() -> None:
    half = MOST_MEMORY_KB * 512
    assert watched([sys.executable, "-c", f"kept = bytearray(2 * {half})"])[1] > MOST_MEMORY_KB
    before, kept = begin_to_watch(), bytearray(2 * half)
    assert most_since(before) >= MOST_MEMORY_KB and kept


@pytest.mark.parametrize("file_name", ["../../mill.pdf", "mill.html", 'a";x=".pdf', "a\r\nX-Evil: 1.pdf"])
@pytest.mark.parametrize("name", PAPERS)
def test_a_good_file_with_a_bad_name_is_kept_in_its_place_and_sent_as_something_to_save(
    name: str,
    file_name: str,
    desk: Client,
    small_job: Job,
    storage: Path,
) -> None:
    upload = UPLOADS[name]
    assert upload.again
    route, row = upload.again
    assert send(desk, small_job, name, pdf(), file_name).status_code in (302, 303)
    kept = row.objects.get(job=small_job, file__startswith=upload.folder)
    files = files_in(storage)
    assert Path(f"{upload.folder}/{kept.sha256}.pdf") in files
    assert {one.parts[0] for one in files} == {upload.folder}
    answer = desk.get(reverse(route, args=[small_job.code, kept.pk]))
    assert answer["Content-Type"] == "application/pdf" and answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"].startswith("attachment;") and "X-Evil" not in answer.headers
    assert "default-src 'self'" in answer["Content-Security-Policy"]


@pytest.mark.parametrize("folder", ["media", "files", ""])
def test_nothing_that_was_sent_is_served_by_its_place(folder: str, desk: Client, small_job: Job, storage: Path) -> None:
    for name in PAPERS:
        send(desk, small_job, name, pdf(), "a.pdf")
    assert len(files_in(storage)) >= len(PAPERS) - 1
    for file in files_in(storage):
        assert desk.get(f"/{folder}/{file}".replace("//", "/")).status_code == 404


@pytest.mark.parametrize(
    "route", [route for route in API_ROUTES if "POST" in API[route.name]], ids=lambda route: route.name
)
def test_no_address_of_the_api_takes_a_file(route: Route, api_world: World) -> None:  # noqa: F811
    client = Client()
    client.force_login(api_world.people["engineer"], backend=BACKEND)
    entries = JournalEntry.objects.count()
    values = {"id": api_world.own["joints"]} if route.arguments else {}
    answer = client.post(route.url(values), {"file": SimpleUploadedFile("a.pdf", pdf())})
    assert answer.status_code in (404, 415), answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert JournalEntry.objects.count() == entries
