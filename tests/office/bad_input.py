"""A cabinet of bad workbooks, each with the sheet, the cell and a word that the refusal must name.

`FAULTS` must be refused with nothing written; `HARMLESS` looks odd, is somebody's true name, and must be taken as typed.
"""

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date

from tests.office.workbooks import Change, Sheets, as_xlsx, cell_of, clean_sheets, row_of, small_workbook


@dataclass(frozen=True)
class Fault:
    """One bad file: its name and bytes, and what the message must name (an empty cell: no cell is at fault)."""

    name: str
    file_name: str
    content: bytes
    sheet: str
    cell: str
    word: str


def as_zip(sheets: Sheets) -> bytes:
    """A .zip of .csv files named after the sheets; cells are written as they print."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, rows in sheets.items():
            text = io.StringIO()
            csv.writer(text).writerows([["" if value is None else value for value in row] for row in rows])
            archive.writestr(f"{name}.csv", text.getvalue())
    return out.getvalue()


def _one_cell(name: str, sheet: str, row: int, column: str, value: object, word: str) -> Fault:
    content = small_workbook(Change(sheet, row, column, value))
    return Fault(name, f"{name}.xlsx", content, sheet, cell_of(sheet, row, column), word)


def _wrong_sheet() -> Fault:
    sheets = clean_sheets()
    renamed = {("Jointz" if name == "Joints" else name): rows for name, rows in sheets.items()}
    return Fault("wrong-sheet", "wrong-sheet.xlsx", as_xlsx(renamed), "Jointz", "", "joints")


def _missing_column() -> Fault:
    sheets = clean_sheets()
    at = sheets["Joints"][0].index("kind")
    sheets["Joints"] = [row[:at] + row[at + 1 :] for row in sheets["Joints"]]
    return Fault("missing-column", "missing-column.xlsx", as_xlsx(sheets), "Joints", "", "kind")


def _duplicate_joint() -> Fault:
    sheets = clean_sheets()
    sheets["Joints"].append([*sheets["Joints"][1][:3], "butt", *sheets["Joints"][1][4:]])
    row = len(sheets["Joints"])
    return Fault(
        "duplicate-joint", "duplicate-joint.xlsx", as_xlsx(sheets), "Joints", cell_of("Joints", row, "joint"), "2"
    )


def _two_columns_of_one_name() -> Fault:
    sheets = clean_sheets()
    sheets["Heats"][0][1] = "Heat (number)"
    return Fault("twin-columns", "twin-columns.xlsx", as_xlsx(sheets), "Heats", "", "heat")


def _nul() -> Fault:
    sheets = clean_sheets()
    row = row_of("Welders", stamp="A1")
    sheets["Welders"][row - 1][1] = "Welder\x00One"
    return Fault("nul", "nul.zip", as_zip(sheets), "Welders", cell_of("Welders", row, "name"), "character")


def _only_named() -> tuple[Fault, ...]:
    text = b"drawing,sheet,joint\nISO-1,1,1\n"
    cut = small_workbook()[:2000]
    holder = io.BytesIO()
    with zipfile.ZipFile(holder, "w") as archive:
        archive.writestr("hello.txt", "not a workbook")
    return (
        Fault("text-renamed", "text-renamed.xlsx", text, "", "", "xlsx"),
        Fault("empty-file", "empty-file.xlsx", b"", "", "", "xlsx"),
        Fault("cut-short", "cut-short.xlsx", cut, "", "", "xlsx"),
        Fault("zip-renamed", "zip-renamed.xlsx", holder.getvalue(), "", "", "xlsx"),
        Fault("pdf-renamed", "pdf-renamed.xlsx", b"%PDF-1.7\n%%EOF\n", "", "", "xlsx"),
        Fault("unknown-suffix", "joints.docx", small_workbook(), "", "", "docx"),
    )


_FIT_UP_1, _JOINT_1, _PASS_1 = row_of("Fit-ups", joint="1"), row_of("Joints", joint="1"), 2

FAULTS: tuple[Fault, ...] = (
    _wrong_sheet(),
    _missing_column(),
    _duplicate_joint(),
    _two_columns_of_one_name(),
    _nul(),
    *_only_named(),
    _one_cell("unknown-schedule", "Joints", _JOINT_1, "schedule", "77", "77"),
    _one_cell("unknown-size", "Joints", _JOINT_1, "NPS", "2-5/8", "2-5/8"),
    _one_cell("unknown-kind", "Joints", _JOINT_1, "kind", "glued", "socket"),
    _one_cell("unknown-location", "Joints", _JOINT_1, "location", "moon", "field"),
    _one_cell("unknown-heat", "Joints", _JOINT_1, "heat A", "H-404", "H-404"),
    _one_cell("unknown-procedure", "Joints", _JOINT_1, "procedure", "P-404", "P-404"),
    _one_cell("joint-without-number", "Joints", _JOINT_1, "joint", None, "joint"),
    _one_cell("unknown-drawing", "Joints", _JOINT_1, "drawing", "ISO-404", "ISO-404"),
    _one_cell("unknown-joint", "Fit-ups", _FIT_UP_1, "joint", "404", "404"),
    _one_cell("future-date", "Fit-ups", _FIT_UP_1, "date", date(2199, 1, 1), "future"),
    _one_cell("no-date", "Fit-ups", _FIT_UP_1, "date", "next Tuesday", "date"),
    _one_cell("impossible-date", "Fit-ups", _FIT_UP_1, "date", "2026-02-30", "2026-02-30"),
    _one_cell("negative-gap", "Fit-ups", _FIT_UP_1, "gap", "-1/16", "negative"),
    _one_cell("no-length", "Fit-ups", _FIT_UP_1, "gap", "tight", "tight"),
    _one_cell("unknown-unit", "Fit-ups", _FIT_UP_1, "gap", "2 furlong", "furlong"),
    _one_cell("formula-error", "Fit-ups", _FIT_UP_1, "gap", "=1/0", "formula"),
    _one_cell("unknown-tack-stamp", "Fit-ups", _FIT_UP_1, "tack stamp", "Z9", "Z9"),
    _one_cell("unknown-stamp", "Passes", _PASS_1, "stamp", "Z9", "Z9"),
    _one_cell("unknown-filler-lot", "Passes", _PASS_1, "filler lot", "L-404", "L-404"),
    _one_cell("unknown-pass", "Passes", _PASS_1, "pass", "icing", "root"),
    _one_cell("unknown-attempt", "Passes", _PASS_1, "attempt", "X1", "X1"),
    _one_cell("order-in-words", "Passes", _PASS_1, "order", "first", "first"),
    _one_cell("negative-amps", "Passes", _PASS_1, "amps", -100, "-100"),
    _one_cell("past-twelve", "Passes", _PASS_1, "start", "13:30", "13:30"),
    _one_cell("unknown-result", "Examinations", 2, "result", "probably", "accepted"),
    _one_cell("unknown-decision", "Repairs", 2, "decision", "ignore", "repair"),
    _one_cell("unknown-plan", "Lines", 2, "exam plan", "E-404", "E-404"),
    _one_cell("unknown-service", "Lines", 2, "fluid service", "Fizzy", "Normal"),
    _one_cell("unknown-units", "Job", 2, "units", "cubits", "SI"),
    _one_cell("unknown-time-zone", "Job", 2, "time zone", "Mars/Crater", "Mars/Crater"),
    _one_cell("unknown-coupon", "Qualifications", 2, "coupon", "cube", "plate"),
    _one_cell("share-over-all", "Exam plans", 2, "share", 140, "140"),
    _one_cell("carbon-in-words", "Heats", 2, "C", "low", "low"),
)

_NAMES = {
    "straight quotes": 'Dara O\'Quill "Red"',
    "curly quotes": "D\u2019Arvo \u201cBee\u201d",
    "right-to-left": "\u05e2\u05d5\u05d6 \u0643\u0631\u064a\u0645",
    "accents": "\u00c5sa \u0141uczak",
    "markup": "<b>Bold</b> & Sons",
    "formula as text": "+Plus; DROP TABLE",
    "long": "N" * 120,
}


@dataclass(frozen=True)
class Harmless:
    """A welder's odd but true name, which must be kept to the letter."""

    name: str
    file_name: str
    content: bytes
    welder: str


HARMLESS: tuple[Harmless, ...] = tuple(
    Harmless(name, "odd-name.xlsx", small_workbook(Change("Welders", 2, "name", value)), value)
    for name, value in _NAMES.items()
)
