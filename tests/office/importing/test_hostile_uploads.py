"""Hostile files sent in by the page: each is named, nothing of it runs or is written, and the memory stays bounded."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client

from records.models import Job, JournalEntry, Work
from tests.office.importing.pages import do, page_of, send
from tests.office.workbooks import as_xlsx, change, changed_sheets, clean_sheets, small_workbook

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]
MOST_MEMORY_KB = 256_000
WORKBOOK, STRINGS, SHEET = "xl/workbook.xml", "xl/sharedStrings.xml", "xl/worksheets/sheet1.xml"


def _rebuilt(**parts: bytes) -> bytes:
    """The clean workbook with some parts replaced or added; `__` in a name stands for a slash, `_DOT_` for a dot."""
    named = {name.replace("__", "/").replace("_DOT_", "."): content for name, content in parts.items()}
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(small_workbook())) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new,
    ):
        for entry in old.infolist():
            new.writestr(entry.filename, named.pop(entry.filename, None) or old.read(entry))
        for name, content in named.items():
            new.writestr(name, content)
    return out.getvalue()


def _part(name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(small_workbook())) as book:
        return book.read(name)


def _with_doctype(name: str, doctype: bytes, before: bytes, after: bytes) -> bytes:
    text = _part(name).replace(before, after, 1)
    assert after in text
    start = text.index(b"?>") + 2
    return _rebuilt(**{name: text[:start] + doctype + text[start:]})


def _xxe() -> bytes:
    doctype = b'<!DOCTYPE workbook [<!ENTITY x SYSTEM "file:///etc/passwd">]>'
    return _with_doctype(WORKBOOK, doctype, b'name="Job"', b'name="&x;"')


def _laughs() -> bytes:
    lol = b"".join(b'<!ENTITY l%d "%s">' % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, 10))
    return _with_doctype(STRINGS, b'<!DOCTYPE sst [<!ENTITY l0 "ha">' + lol + b"]>", b"J-1", b"&l9;")


def _bomb() -> bytes:
    return _rebuilt(**{STRINGS: _part(STRINGS).replace(b"J-1", b"a" * 600_000_000, 1)})


def _csv_bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("Joints.csv", b"," * 90_000_000)
    return out.getvalue()


def _slip() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("../../../../tmp/spoolbook-slipped/Joints.csv", "drawing,sheet,joint\nISO-1,1,77\n")
        archive.writestr("/tmp/spoolbook-slipped/run.sh", "#!/bin/sh\n")
    return out.getvalue()


def _too_many() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for number in range(6_000):
            archive.writestr(f"{number}.csv", "")
    return out.getvalue()


HOSTILE: dict[str, tuple[str, Callable[[], bytes], str]] = {
    # name: the file's name, its bytes, a word of the sentence
    "external entity": ("plan.xlsx", _xxe, "document type"),
    "a billion laughs": ("plan.xlsx", _laughs, "document type"),
    "bomb of one letter": ("plan.xlsx", _bomb, "many times its size"),
    "bomb of commas": ("plan.zip", _csv_bomb, "many times its size"),
    "paths out of the folder": ("plan.zip", _slip, "without a .csv file"),
    "thousands of entries": ("plan.zip", _too_many, "unpacks to more"),
    "page behind a workbook's name": ("plan.xlsx", lambda: b"<html><script>alert(1)</script></html>", "whatever its name"),
    "program behind a workbook's name": ("plan.xlsx", lambda: b"MZ\x90\x00" + bytes(500), "whatever its name"),
    "workbook behind a table's name": ("Joints.csv", small_workbook, "UTF-8"),
    "workbook behind a zip's name": ("plan.zip", small_workbook, "looks like a workbook"),
    "picture with script": ("plan.svg", lambda: b"<svg><script>alert(1)</script></svg>", "is not read"),
    "page": ("plan.html", lambda: b"<p>hello</p>", "is not read"),
    "nothing but an ending": (".xlsx", small_workbook, "no ending"),
    "old form": ("plan.xlsx", lambda: bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600), ".xls form"),
    "cut in the middle": ("plan.xlsx", lambda: small_workbook()[:4000], "whatever its name"),
}  # fmt: skip


def _reset_peak() -> int:
    """Begin to watch the memory; returns what is in use now, in kB."""
    Path("/proc/self/clear_refs").write_text("5")
    return _memory("VmRSS")


def _memory(name: str) -> int:
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(name))


def _answer(desk: Client, job: Job, content: bytes, name: str) -> str:
    """What the site says to a file in the end."""
    answer = send(desk, job, content, name)
    if answer.status_code == 302:
        work = Work.objects.get(id=answer["Location"].rstrip("/").rpartition("/")[2])
        answer = desk.get(page_of(do(work) if work.state == "queued" else work))
    return str(answer.content.decode())


@pytest.mark.parametrize("which", HOSTILE)
def test_a_hostile_file_is_named_and_nothing_of_it_taken(which: str, desk: Client, small_job: Job) -> None:
    name, make, word = HOSTILE[which]
    content, entries = make(), JournalEntry.objects.count()
    before = _reset_peak()
    shown = _answer(desk, small_job, content, name)
    grown = _memory("VmHWM") - before
    assert word.casefold() in shown.casefold() and "Apply</button>" not in shown
    assert "root:" not in shown and "<script>alert" not in shown
    assert JournalEntry.objects.count() == entries
    assert not Path("/tmp/spoolbook-slipped").exists()
    assert grown < MOST_MEMORY_KB, f"{grown} kB"


def test_a_formula_is_a_text_of_its_result_and_never_computed(desk: Client, small_job: Job) -> None:
    for formula in ("=cmd|' /C calc'!A0", '=HYPERLINK("http://127.0.0.1/")', "=WEBSERVICE(A1)"):
        sheets = changed_sheets([change("Welders", 2, "name", formula)])
        assert "Welders!" in _answer(desk, small_job, as_xlsx(sheets), "plan.xlsx")


def test_a_workbook_with_a_page_stuck_to_it_is_only_ever_a_workbook(desk: Client, small_job: Job) -> None:
    stuck = b"<html><script>alert(1)</script>" + as_xlsx({"Heats": clean_sheets()["Heats"]})
    shown = _answer(desk, small_job, stuck, "plan.xlsx")
    assert "<script>alert" not in shown
