"""How files that try to do harm are made, and how a program that reads one is watched."""

import io
import os
import struct
import subprocess
import sys
import tarfile
import zipfile
import zlib
from collections.abc import Callable
from typing import Any

from pikepdf import Array, AttachedFileSpec, Dictionary, Name, Pdf, Stream

from reports.vetting import ROOT
from tests.office.workbooks import small_workbook

TRACE = "/tmp/spoolbook-was-here"
SCRIPT = b"<script>alert(document.cookie)</script>"


def pdf(change: Callable[[Pdf], object] | None = None, **options: Any) -> bytes:
    """A PDF of one page, changed."""
    with Pdf.new() as made:
        made.add_blank_page()
        if change:
            change(made)
        written = io.BytesIO()
        made.save(written, **options)
    return written.getvalue()


def acting(**action: Any) -> Callable[[], bytes]:
    """A PDF that does something when it is opened."""

    def change(made: Pdf) -> None:
        made.Root.OpenAction = Dictionary(**action)

    return lambda: pdf(change)


def carrying(made: Pdf) -> None:
    made.attachments["run.exe"] = AttachedFileSpec(made, b"MZ", filename="run.exe")


def with_form(made: Pdf) -> None:
    made.Root.AcroForm = Dictionary(XFA=Stream(made, b"<xdp/>"), Fields=Array([]))


def with_film(made: Pdf) -> None:
    made.pages[0].Annots = Array([made.make_indirect(Dictionary(Type=Name.Annot, Subtype=Name.RichMedia))])


def on_page(made: Pdf) -> None:
    made.pages[0].AA = Dictionary(O=Dictionary(S=Name.JavaScript, JS="app.alert(1)"))


def unused_script(made: Pdf) -> None:
    made.Root.Spare = made.make_indirect(Dictionary(S=Name.JavaScript, JS="app.alert(1)"))


def commented() -> bytes:
    """A PDF that is an archive behind a sign for comments, and ends well."""
    return pdf().removesuffix(b"\n") + b"\n%" + zipped(a=b"MZ") + b"\n%%EOF\n"


def nested(made: Pdf) -> None:
    nest: Any = Array([])
    for _ in range(60):
        nest = Array([nest])
    made.Root.Deep = nest


def zipped(**files: bytes) -> bytes:
    """A zip; `__` in a name stands for a slash, `_DOT_` for a full stop."""
    return zipped_as({name.replace("__", "/").replace("_DOT_", "."): content for name, content in files.items()})


def zipped_as(files: dict[str, bytes]) -> bytes:
    """A zip of these files."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as made:
        for name, content in files.items():
            made.writestr(name, content)
    return written.getvalue()


def linked() -> bytes:
    """A zip whose table is a link to a file of the machine."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as made:
        link = zipfile.ZipInfo("Joints.csv")
        link.create_system, link.external_attr = 3, 0o120777 << 16
        made.writestr(link, "/etc/passwd")
    return written.getvalue()


def twice() -> bytes:
    """A zip in which one name stands for two contents."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as made:
        made.writestr("a/Joints.csv", "drawing,sheet,joint\n")
        made.writestr("b/Joints.csv", "drawing,sheet,joint\nISO-1,1,9\n")
    return written.getvalue()


def lying() -> bytes:
    """A zip that says of a gigabyte that it is a kilobyte."""
    made = bytearray(zipped(Joints_DOT_csv=b"," * 60_000_000))
    for mark, place in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        made[made.index(mark) + place : made.index(mark) + place + 4] = struct.pack("<I", 1_000)
    return bytes(made)


def locked() -> bytes:
    """A zip that says it is encrypted."""
    made = bytearray(zipped(Joints_DOT_csv=b"drawing,sheet,joint\n"))
    for mark, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        made[made.index(mark) + place] |= 1
    return bytes(made)


def shells(times: int) -> bytes:
    """A zip in a zip in a zip."""
    content = b"0" * 10_000_000
    for number in range(times):
        content = zipped_as({f"{number}.zip": content})
    return content


def book(**parts: bytes) -> bytes:
    """The clean workbook with some parts replaced or added."""
    named = {name.replace("__", "/").replace("_DOT_", "."): content for name, content in parts.items()}
    with zipfile.ZipFile(io.BytesIO(small_workbook())) as old:
        files = {entry.filename: old.read(entry) for entry in old.infolist()}
    return zipped_as(files | named)


def part(name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(small_workbook())) as old:
        return old.read(name)


def declared(name: str, doctype: bytes, before: bytes, after: bytes) -> bytes:
    """The clean workbook, one part with a document type and a use of its entity."""
    text = part(name).replace(before, after, 1)
    start = text.index(b"?>") + 2
    return book(**{name: text[:start] + doctype + text[start:]})


def entity(target: str) -> bytes:
    doctype = f'<!DOCTYPE workbook [<!ENTITY x SYSTEM "{target}">]>'.encode()
    return declared("xl/workbook.xml", doctype, b'name="Job"', b'name="&x;"')


def laughs() -> bytes:
    lol = b"".join(b'<!ENTITY l%d "%s">' % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, 10))
    return declared("xl/sharedStrings.xml", b'<!DOCTYPE sst [<!ENTITY l0 "ha">' + lol + b"]>", b"J-1", b"&l9;")


def quadratic() -> bytes:
    doctype = b'<!DOCTYPE sst [<!ENTITY a "' + b"a" * 100_000 + b'">]>'
    return declared("xl/sharedStrings.xml", doctype, b"J-1", b"&a;" * 5_000)


def ods(content: bytes) -> bytes:
    """An .ods of this content."""
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    return zipped_as({"mimetype": kind, "content.xml": content, "META-INF/manifest.xml": b"<manifest/>"})


def model(said: bytes, times: int = 1) -> bytes:
    """An IFC file of systems whose property is what is said."""
    head = b"ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
    rows = b"".join(b"#%d=IFCPROPERTYLISTVALUE('a',$,(%s),$);\n" % (number, said) for number in range(1, times + 1))
    return head + b"FILE_SCHEMA(('IFC4'));\nENDSEC;\nDATA;\n" + rows + b"ENDSEC;\nEND-ISO-10303-21;\n"


def sheet(cells: bytes) -> bytes:
    """The clean workbook with these cells at the end of its second sheet."""
    text = part("xl/worksheets/sheet2.xml")
    return book(xl__worksheets__sheet2_DOT_xml=text.replace(b"</sheetData>", cells + b"</sheetData>"))


def far(mark: bytes) -> bytes:
    """A workbook of ten kilobytes with one cell in the last corner, its mark written as few programs do."""
    return sheet(b'<row r="1048576">' + mark + b"<v>1</v></c></row>")


def misnamed() -> bytes:
    """A workbook of which one sheet is found under a name in other letters."""
    links = part("xl/_rels/workbook.xml.rels").replace(b"worksheets/sheet2.xml", b"worksheets/SHEET2.XML")
    with zipfile.ZipFile(io.BytesIO(far(b'<c r="XFD1048576">'))) as old:
        files = {entry.filename: old.read(entry) for entry in old.infolist()}
    return zipped_as(files | {"xl/_rels/workbook.xml.rels": links})


def shared() -> bytes:
    """A workbook in which a hundred thousand cells have one text of a hundred kilobytes."""
    texts, text = part("xl/sharedStrings.xml"), part("xl/worksheets/sheet2.xml")
    one = b"<si><t>" + b"x" * 100_000 + b"</t></si></sst>"
    place = texts.count(b"<si>")
    rows = b"".join(
        b'<row r="%d">' % row
        + b"".join(b'<c r="%c%d" t="s"><v>%d</v></c>' % (65 + column, row, place) for column in range(20))
        + b"</row>"
        for row in range(10, 5_010)
    )
    return book(
        xl__sharedStrings_DOT_xml=texts.replace(b"</sst>", one),
        xl__worksheets__sheet2_DOT_xml=text.replace(b"</sheetData>", rows + b"</sheetData>"),
    )


def table_of(cells: bytes) -> bytes:
    """An .ods of one table with these cells in a row."""
    spaces = b"".join(
        b' xmlns:%s="urn:oasis:names:tc:opendocument:xmlns:%s:1.0"' % (one, one)
        for one in (b"office", b"table", b"text")
    )
    return ods(
        b'<?xml version="1.0"?><office:document-content' + spaces + b"><office:body><office:spreadsheet>"
        b'<table:table table:name="Joints"><table:table-row>' + cells + b"</table:table-row></table:table>"
        b"</office:spreadsheet></office:body></office:document-content>"
    )


class _Pickled:
    """What touches a file as soon as somebody unpickles it."""

    def __reduce__(self) -> tuple[Callable[[str], int], tuple[str]]:
        return os.system, (f"touch {TRACE}",)


def png(width: int = 1, height: int = 1, extra: bytes = b"") -> bytes:
    """A picture that says it is this large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    packed = zlib.compress(b"\0" * min(width * height, 30_000_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + extra + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


WATCH = (
    "import resource, subprocess, sys\n"
    "ran = subprocess.run(sys.argv[1:], stdin=sys.stdin, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)\n"
    "print(ran.returncode, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
)


def watched(command: list[str], content: bytes = b"") -> tuple[int, int]:
    """Run a command with this on its standard input; returns how it ended, and its most memory in kB."""
    # What a process has used counts from what its parent held: a small one stands between.
    one_thread = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # as the site starts what reads a model
    ran = subprocess.run(
        [sys.executable, "-c", WATCH, *command],
        input=content,
        capture_output=True,
        cwd=ROOT,
        check=True,
        env=one_thread,
    )
    status, used = map(int, ran.stdout.split())
    return status, used


def tarred() -> bytes:
    """A tar with a path out of its folder."""
    written = io.BytesIO()
    with tarfile.open(fileobj=written, mode="w") as made:
        entry = tarfile.TarInfo(f"../..{TRACE}")
        entry.size = 1
        made.addfile(entry, io.BytesIO(b"x"))
    return written.getvalue()
