"""Invented papers for the tests of `reports`, and ways to read what was printed."""

import re
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO

import pikepdf
import pypdfium2
from reportlab.pdfgen.canvas import Canvas

from reports.data import (
    CertificateFile,
    CertificateSet,
    ExaminationRow,
    ExaminationsData,
    FillerRow,
    FindingRow,
    FindingsData,
    HeatListData,
    HeatRow,
    JournalHead,
    MapJoint,
    MapPiece,
    MapRun,
    MissingData,
    MissingItem,
    PackageCover,
    PackageData,
    QualificationRow,
    Ring,
    TitleBlock,
    WelderEntry,
    WelderRegisterData,
    WeldLogData,
    WeldLogRow,
    WeldMapData,
)
from reports.ring import STATES

TITLE = TitleBlock(
    owner="Brackwater Piping Works",
    job="CW-7 Cooling water extension",
    title="Weld log",
    kind="Weld log",
    number="CW-7-WL-01",
    issued="2026-11-24",
    creator="A. Lindqvist",
    edition="ASME B31.3, 2018",
    supplement="Line 1-CF-1101",
    revision="B",
    approver="M. Okafor",
    status="as built",
)
HASH = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"


def titled(title: str) -> TitleBlock:
    return replace(TITLE, title=title, kind=title)


def log_rows(count: int) -> Iterator[WeldLogRow]:
    for place in range(count):
        state = STATES[place % len(STATES)]
        yield WeldLogRow(
            ring=Ring(state, 0.5, place % 4),
            joint=f"ISO-1101/1/{place + 1}",
            attempt="0",
            kind="socket",
            size="NPS 1 Sch 80",
            location="shop",
            spool="SP-2",
            heats="H8812 / K-4471",
            procedure="WPS-11",
            stamps="A1 / A1 / C3",
            filler="F-2209",
            date="2026-11-03",
            examinations="VT accepted 2026-11-04",
            state=state,
        )


def run(count: int, *, long: bool = False, name: str = "") -> MapRun:
    """A run of joints with pieces of every kind; `long` gives every word more letters than it has room for."""
    kinds = ("elbow-90", "pipe", "tee", "pipe", "valve", "pipe", "flange-150", "pipe", "reducer")
    more = " with a long description" if long else ""
    pieces = tuple(
        MapPiece(
            f"P-{place:03d}{'-OF-A-LONG-MARK' if long else ''}",
            kinds[place % 9] + more,
            "NPS 1 Sch 80" + more,
            "H8812" + more,
        )
        for place in range(count + 1)
    )
    joints = tuple(
        MapJoint(
            number=f"{place + 1}{'-FIELD-WELD-NUMBER' if long else ''}",
            ring=Ring(STATES[place % 8], 0.5, place % 4),
            kind="socket",
            size="NPS 1 Sch 80",
            location=("shop", "field", "field-fit")[place % 3],
            spool=f"SP-{place // 5}" + more,
            spool_b=f"SP-{place // 5 + 1}{more}" if place % 5 == 4 else "",
            heat_a="H8812",
            heat_b="K-4471",
            procedure="WPS-11",
            stamps="A1/A1/C3" + more,
            attempt=("0", "R1", "R2", "W1")[place % 4],
        )
        for place in range(count)
    )
    return MapRun(pieces, joints, name)


def weld_map(count: int = 12, **options: bool) -> WeldMapData:
    return WeldMapData(
        titled("Weld map"), (run(count, name="Main run", **options), run(2, name="Branch at P-003", **options))
    )


FINDINGS = (
    FindingRow(
        code="leg-too-small",
        severity="stop",
        joint="ISO-1101/1/14",
        attempt="0",
        message="Leg 5/32 in on side B, at least 7/32 in.",
        measured="5/32 in",
        limit="7/32 in",
        arithmetic="1.09 × 0.179 = 0.1951 in",
        source="ASME B31.3-2018, Fig. 328.5.2C",
        source_state="checked",
        override="M. Okafor, 2026-11-05: agreed in writing",
    ),
)
EXAMINATIONS = (
    ExaminationRow(
        joint="ISO-1101/1/14",
        attempt="R1",
        method="RT",
        date="2026-11-06",
        examiner="L. Marchetti",
        result="rejected",
        report="RT-0013",
        measured="lack of fusion 4 mm",
        computed="rejected",
        acceptance="ASME B31.3-2018, Table 341.3.2",
    ),
)
WELDERS = (
    WelderEntry(
        "A1",
        "A. Lindqvist",
        "Brackwater Piping Works",
        "2024-01-01 to today",
        "34 joints",
        (QualificationRow("WPQ-21", "GTAW", "2025-03-02", "P-1; F-6", "11 mm", "25 mm and over", "6G", "alive"),),
    ),
    WelderEntry("B2", "محمد الأحمد", "", "", ""),
    WelderEntry("C3", "王小明", "", "", ""),
)
HEATS = (HeatRow("H8812", "A106 Gr. B", "Tern Steel", "pipe", "MTR 4471", "C 0.21", "482 MPa", "1, 2"),)
FILLERS = (FillerRow("F-2209", "ER70S-6", "2.4 mm", "77120", "CMTR 2209", "34 joints"),)
MISSING = (MissingItem("Examinations due", "ISO-1101/1/22", "RT, 100 % by plan P-2"),)


def certificate(words: str, pages: int = 1) -> bytes:
    """A small PDF as a mill would send it."""
    out = BytesIO()
    canvas = Canvas(out, invariant=1)
    for page in range(pages):
        canvas.drawString(100, 500, f"{words} sheet {page + 1}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def package(
    certificates: tuple[CertificateFile, ...] | None = None, rows: int = 60, *, paper: str = "A4"
) -> PackageData:
    if certificates is None:
        certificates = tuple(
            CertificateFile(f"mtr-{n}.pdf", f"MTR 44{n:02d}", certificate(f"MTR 44{n:02d}", 1 + n % 3))
            for n in range(5)
        )
    cover = PackageCover(
        title=titled("Turnover package"),
        scope="Line 1-CF-1101",
        client="Brackwater Water Board",
        site="Old Harbour",
        journal=JournalHead(12045, HASH, "2026-11-24 16:05 UTC"),
        counts=(("Joints", "60"),),
        editions=("ASME B31.3, 2018", "ASME BPVC IX, 2021"),
    )
    return PackageData(
        cover=cover,
        missing=MissingData(titled("What is missing"), MISSING),
        weld_maps=(weld_map(), weld_map(30)),
        weld_log=WeldLogData(titled("Weld log"), tuple(log_rows(rows)), paper),
        findings=FindingsData(titled("Findings"), FINDINGS),
        examinations=(
            ExaminationsData(titled("Visual examination"), ()),
            ExaminationsData(titled("Radiography"), EXAMINATIONS),
        ),
        welders=WelderRegisterData(titled("Welder register"), WELDERS),
        heats=HeatListData(titled("Heat list"), HEATS, FILLERS),
        certificates=(CertificateSet("Material certificates", certificates),),
    )


def texts(pdf: bytes) -> list[str]:
    """The words of each page, white space made single."""
    document = pypdfium2.PdfDocument(pdf)
    return [re.sub(r"\s+", " ", page.get_textpage().get_text_bounded()) for page in document]


def fonts_without_file(pdf: bytes) -> list[str]:
    """Fonts of a PDF whose letters are not in the file."""
    loose = []
    with pikepdf.open(BytesIO(pdf)) as document:
        for item in document.objects:
            if isinstance(item, pikepdf.Dictionary) and item.get("/Type") == "/Font":
                descriptor = item.get("/FontDescriptor")
                if descriptor is None or not any(
                    key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3")
                ):
                    loose.append(str(item.get("/BaseFont")))
    return loose
