"""Files made to do harm, for every route that takes one: tests/access/test_uploads.py sends them."""

import base64
import gzip
import os
import pickle
from collections.abc import Callable
from dataclasses import dataclass

from pikepdf import Encryption, Name

from tests.hostile_bytes import (
    SCRIPT,
    TRACE,
    _Pickled,
    acting,
    book,
    carrying,
    commented,
    entity,
    far,
    laughs,
    linked,
    locked,
    lying,
    misnamed,
    model,
    nested,
    ods,
    on_page,
    pdf,
    png,
    quadratic,
    shared,
    sheet,
    shells,
    table_of,
    tarred,
    twice,
    unused_script,
    with_film,
    with_form,
    zipped,
    zipped_as,
)
from tests.office.workbooks import small_workbook
from tests.reports import bombs

NO_PDF = "It is not a PDF."
EICAR = base64.b64decode("WDVPIVAlQEFQWzRcUFpYNTQoUF4pN0NDKTd9JEVJQ0FSLVNUQU5EQVJELUFOVElWSVJVUy1URVNULUZJTEUhJEgrSCo=")


@dataclass(frozen=True)
class Hostile:
    """One file: what it tries, the name it is sent by, how its bytes are made, and words of the refusals.

    paper   said where a paper is taken; where a drawing is, too, if the file has the mark of a PDF
    book    said where a workbook is taken
    """

    tries: str
    file_name: str
    make: Callable[[], bytes]
    paper: str = NO_PDF
    book: str = ""
    is_bomb: bool = False


SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)">' + SCRIPT + b"</svg>"
SPANS, FILLED = "million cells", "fill the memory"
NO_BOOK, TYPED, MANY_TIMES = "whatever its name", "document type", "many times its size"
BEFORE, BEHIND, TOO_MUCH, SCRIPTED = "before its beginning", "behind its end", "more memory or time", "JavaScript"
# By what they are.
KINDS: dict[str, tuple[Hostile, ...]] = {
    "pictures": (
        Hostile("a picture", "mill.png", png),
        Hostile("a picture called PDF", "mill.pdf", png),
        Hostile("a picture called workbook", "plan.xlsx", png, book=NO_BOOK),
        Hostile("a picture called model", "area.ifc", png, book="is no IFC file"),
        Hostile("a picture that says 60,000 by 60,000", "plan.png", lambda: png(60_000, 60_000), is_bomb=True),
        Hostile("a picture that says 6,300 by 6,300", "plan.png", lambda: png(6_300, 6_300), is_bomb=True),
        Hostile("a picture called table", "Joints.csv", lambda: png(60_000, 60_000)),
        Hostile("a JPEG cut short", "a.jpg", lambda: b"\xff\xd8\xff\xe0\0\x10JFIF" + bytes(90)),
        Hostile("a GIF that is a script", "a.gif", lambda: b"GIF89a/*" + bytes(9) + b"*/=1;alert(1)"),
        Hostile("a GIF that is an archive", "a.zip", lambda: b"GIF89a" + zipped(a=b"MZ")),
        Hostile("a drawing with a script", "a.svg", lambda: SVG),
        Hostile("a drawing called PDF", "a.pdf", lambda: SVG),
        Hostile("a drawing that says PDF", "a.pdf", lambda: b"<svg><!--%PDF-1.4-->" + SCRIPT + b"</svg>", BEFORE),
        Hostile("a drawing called workbook", "a.xlsx", lambda: SVG, book=NO_BOOK),
        Hostile("a drawing that is packed", "a.svgz", lambda: gzip.compress(SVG)),
    ),
    "pages and programs": (
        Hostile("a page", "a.html", lambda: b"<!doctype html>" + SCRIPT),
        Hostile("a page called PDF", "a.pdf", lambda: b"<!doctype html>" + SCRIPT),
        Hostile("a page called workbook", "plan.xlsx", lambda: b"<html>" + SCRIPT, book=NO_BOOK),
        Hostile("a page called model", "area.ifc", lambda: b"<html>" + SCRIPT, book="is no IFC file"),
        Hostile("a page called table", "Joints.csv", lambda: b"<!doctype html>" + SCRIPT),
        Hostile("a page before a PDF", "a.pdf", lambda: SCRIPT + b"\n" + pdf(), BEFORE),
        Hostile("a page behind a PDF", "a.pdf", lambda: pdf() + b"<html>" + SCRIPT, BEHIND),
        Hostile("a page with two endings", "a.pdf.html", lambda: SCRIPT),
        Hostile("a program", "a.exe", lambda: b"MZ\x90\0" + bytes(500)),
        Hostile("a program called workbook", "a.xlsx", lambda: b"\x7fELF" + bytes(500), book=NO_BOOK),
        Hostile("a program before a PDF", "a.pdf", lambda: b"\x7fELF" + bytes(60) + pdf(), BEFORE),
        Hostile("a shell script", "a.sh", lambda: f"#!/bin/sh\ntouch {TRACE}\n".encode()),
        Hostile("a shell script called table", "Joints.csv", lambda: f"#!/bin/sh\ntouch {TRACE}\n".encode()),
        Hostile("a script before a PDF", "a.pdf", lambda: b"#!/bin/sh\n" + pdf(), BEFORE),
        Hostile("a virus of the test kind", "a.com", lambda: EICAR),
        Hostile("a pickle", "a.pkl", lambda: pickle.dumps(_Pickled())),
        Hostile("a pickle called workbook", "plan.xlsx", lambda: pickle.dumps(_Pickled()), book=NO_BOOK),
        Hostile("a pickle called table", "Joints.csv", lambda: pickle.dumps(_Pickled(), protocol=0)),
        Hostile("a pickle called PDF", "a.pdf", lambda: pickle.dumps(_Pickled())),
    ),
    "PDFs": (
        Hostile("a PDF that runs JavaScript", "a.pdf", acting(S=Name.JavaScript, JS="app.alert(1)"), SCRIPTED),
        Hostile("a PDF that runs JavaScript on a page", "a.pdf", lambda: pdf(on_page), SCRIPTED),
        Hostile("a PDF with a script that nothing starts", "a.pdf", lambda: pdf(unused_script), SCRIPTED),
        Hostile("a PDF that starts a program", "a.pdf", acting(S=Name.Launch, F="cmd.exe"), "starts other programs"),
        Hostile("a PDF with a program in it", "a.pdf", lambda: pdf(carrying), "other files embedded"),
        Hostile("a PDF with film", "a.pdf", lambda: pdf(with_film), "film or sound"),
        Hostile("a PDF of a form of its own program", "a.pdf", lambda: pdf(with_form), "only its own program"),
        Hostile("a PDF that sends itself", "a.pdf", acting(S=Name.SubmitForm, F="http://127.0.0.1/"), "over the network"),
        Hostile("a PDF nested without end", "a.pdf", lambda: pdf(nested), "nested too deeply"),
        Hostile("a PDF that is locked", "a.pdf", lambda: pdf(encryption=Encryption(owner="a", user="b")), "encrypted"),
        Hostile("a PDF cut in the middle", "a.pdf", lambda: pdf()[: len(pdf()) // 3], ""),
        Hostile("a PDF that only says so", "a.pdf", lambda: b"%PDF-1.7\n" + bytes(range(256)) * 40, "not a readable PDF"),
        Hostile("a PDF that is an archive", "a.pdf", lambda: pdf() + zipped(a=b"MZ"), "an archive as well"),
        Hostile("a PDF with an archive in its last comment", "a.pdf", commented, "an archive as well"),
        Hostile("a PDF that unpacks to a gigabyte", "a.pdf", lambda: bombs.object_stream(bombs.blanks, 1024), TOO_MUCH,
                is_bomb=True),
        Hostile("a PDF of millions of arrays", "a.pdf", lambda: bombs.object_stream(bombs.brackets, 64), TOO_MUCH,
                is_bomb=True),
        Hostile("a PDF packed twice", "a.pdf", lambda: bombs.object_stream(bombs.blanks, 1024, twice=True), TOO_MUCH,
                is_bomb=True),
        Hostile("a PDF with a huge list of places", "a.pdf", lambda: bombs.cross_references(400), "", is_bomb=True),
        Hostile("a PDF of more bytes than can be", "a.pdf", lambda: pdf() + bytes(20 * bombs.MEGABYTE), "more than 20 MB"),
        Hostile("a PDF called workbook", "a.xlsx", pdf, book=NO_BOOK),
    ),
    "archives": (
        Hostile("paths out of the folder", "a.zip", lambda: zipped_as({f"../../..{TRACE}": b"a"}), book="without a .csv file"),
        Hostile("paths from the root", "a.zip", lambda: zipped_as({TRACE: b"a"}), book="without a .csv file"),
        Hostile("tables out of the folder", "a.zip", lambda: zipped_as({f"../../..{TRACE}/Joints.csv": b"drawing,sheet,joint\nI,1,7\n"})),
        Hostile("paths of Windows", "a.zip", lambda: zipped_as({"..\\..\\a.exe": b"a", "C:\\a.exe": b"a"})),
        Hostile("a link to a file of the machine", "a.zip", linked),
        Hostile("one name for two tables", "a.zip", twice),
        Hostile("an archive that lies about its size", "a.zip", lying, is_bomb=True),
        Hostile("a table of ninety million commas", "a.zip", lambda: zipped(Joints_DOT_csv=b"," * 90_000_000),
                book=MANY_TIMES, is_bomb=True),
        Hostile("thousands of entries", "a.zip", lambda: zipped_as({f"{number}.csv": b"" for number in range(6_000)}),
                book="unpacks to more", is_bomb=True),
        Hostile("archives in archives", "a.zip", lambda: shells(8), is_bomb=True),
        Hostile("an archive that is locked", "a.zip", locked),
        Hostile("an archive cut short", "a.zip", lambda: zipped(Joints_DOT_csv=os.urandom(9_000))[:5_000]),
        Hostile("a tar out of its folder", "a.tar", tarred),
        Hostile("a tar called archive", "a.zip", tarred),
    ),
    "workbooks": (
        Hostile("an outside entity", "plan.xlsx", lambda: entity("file:///etc/passwd"), book=TYPED),
        Hostile("an entity on the network", "plan.xlsx", lambda: entity("http://127.0.0.1:9/"), book=TYPED),
        Hostile("a billion laughs", "plan.xlsx", laughs, book=TYPED, is_bomb=True),
        Hostile("an entity used five thousand times", "plan.xlsx", quadratic, book=TYPED, is_bomb=True),
        Hostile("a workbook that unpacks to 600 MB", "plan.xlsx", lambda: book(xl__sharedStrings_DOT_xml=b"a" * 600_000_000),
                book=MANY_TIMES, is_bomb=True),
        Hostile("an entity in an .ods", "plan.ods", lambda: ods(
            b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><a>&x;</a>')),
        Hostile("an .ods without end", "plan.ods", lambda: ods(b"<a>" * 100_000), is_bomb=True),
        Hostile("a workbook that is locked", "plan.xlsx", lambda: bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600),
                book=".xls form"),
        Hostile("a workbook cut short", "plan.xlsx", lambda: small_workbook()[:4_000], book=NO_BOOK),
        Hostile("a workbook called table", "Joints.csv", small_workbook, book="UTF-8"),
        Hostile("a workbook called archive", "plan.zip", small_workbook, book="looks like a workbook"),
        Hostile("a workbook without a name", ".xlsx", small_workbook, book="no ending"),
        *(
            Hostile(f"a cell in the last corner, {how}", "plan.xlsx", lambda mark=mark: far(mark), book=said, is_bomb=True)
            for how, mark, said in (
                ("on a line of its own", b'<c\nr="XFD1048576">', SPANS),
                ("behind a tab", b'<c\tr="XFD1048576">', SPANS),
                ("in other quotes", b"<c r='XFD1048576'>", SPANS),
                ("with room about the sign", b'<c r = "XFD1048576">', SPANS),
                ("in small letters", b'<c r="xfd1048576">', SPANS),
                ("behind a bracket", b'<c s=">" r="XFD1048576">', SPANS),
                ("behind a row", b'<c r="XFD1"/><c s="1">', SPANS),
                ("beyond all rows", b'<c r="A4000000000">', SPANS),
            )
        ),
        Hostile("a sheet under another name", "plan.xlsx", misnamed, book=SPANS, is_bomb=True),
        Hostile("one long text in many cells", "plan.xlsx", shared, book=FILLED, is_bomb=True),
        Hostile("a number of a row without end", "plan.xlsx", lambda: sheet(b'<row><c r="A%s" t="e"><v>#REF!</v></c></row>' % (b"9" * 5_000)),
                book=SPANS),
        Hostile("two billion spaces", "plan.ods", lambda: table_of(
            b'<table:table-cell office:value-type="string"><text:p><text:s text:c="2000000000"/></text:p></table:table-cell>'),
                book=FILLED, is_bomb=True),
        Hostile("a cell repeated so often as no number says", "plan.ods", lambda: table_of(
            b'<table:table-cell office:value-type="string" table:number-columns-repeated="%s"/>' % (b"9" * 5_000)), book=SPANS),
        Hostile("a workbook with macros alone", "plan.xlsm", lambda: zipped(xl__vbaProject_DOT_bin=b"MZ")),
    ),
    "tables and models": (
        Hostile("a table of nothing", "Joints.csv", lambda: bytes(5_000)),
        Hostile("a table of one quote", "Joints.csv", lambda: b"drawing,sheet,joint\n\"" + b"a" * 5_000_000, is_bomb=True),
        Hostile("a table of one long value", "Joints.csv", lambda: b"drawing,sheet,joint\n" + b"a" * 5_000_000 + b",1,1\n",
                is_bomb=True),
        Hostile("a table of two million columns", "Joints.csv", lambda: b"a," * 2_000_000, is_bomb=True),
        Hostile("formulas", "Welders.csv", lambda: b"stamp,name\n=cmd|' /C calc'!A0\n"),
        Hostile("a model of a heading alone", "area.ifc", lambda: b"ISO-10303-21;\n", book="Nothing was written"),
        Hostile("a model of brackets", "area.ifc", lambda: model(b"(" * 10_000_000), book="Nothing was written", is_bomb=True),
        Hostile("a model that is made of itself", "area.ifc", lambda: model(b"#1,#1", 200_000), book="Nothing was written",
                is_bomb=True),
        Hostile("nothing", "a.pdf", bytes, "The file is empty."),
        Hostile("nothing called workbook", "plan.xlsx", bytes, "The file is empty.", book="The file is empty."),
    ),
}  # fmt: skip
HOSTILE = tuple(one for files in KINDS.values() for one in files)
