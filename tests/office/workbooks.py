"""Small job workbooks made in memory: one clean, one cell to switch each finding on, and a cabinet of bad input.

The clean workbook has one line, one sheet and six joints, all accepted and released but the last, which is planned; it
gives no finding. Rows are counted as a spreadsheet shows them: the header is row 1.
"""

import copy
import io
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

import xlsxwriter
from xlsxwriter.utility import xl_rowcol_to_cell

Sheets = dict[str, list[list[object]]]

D = date
_KEY = ["drawing", "sheet", "joint"]
_FIT_UP = ["date", "by", "gap", "squareness", "high-low", "tack stamp", "heat A read", "heat B read", "revision"]
_PASS = ["attempt", "order", "pass", "stamp", "process", "date", "filler lot", "amps", "start", "stop"]
_EXAM = ["attempt", "method", "date", "by", "result", "leg A", "leg B", "undercut", "indications"]


def _at(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 9, day, hour, minute)  # noqa: DTZ001 - a cell of the job's own time zone


def _key(joint: int) -> list[object]:
    return ["ISO-1", "1", str(joint)]


def _fit_up(joint: int, day: int, *, butt: bool = False, read: bool = True) -> list[object]:
    measured = ["1/8", None, "1/32"] if butt else ["1/16", "1/32", None]
    heats = ["H-1", "H-3" if butt else "H-2"] if read else [None, None]
    return [*_key(joint), _at(day, 8), "Fitter One", *measured, "A1", *heats, "2"]


def _socket_passes(joint: int, day: int) -> list[list[object]]:
    return [
        [*_key(joint), "0", 1, "root", "A1", "GTAW", _at(day, 9), "L-1", 100, "12", "12"],
        [*_key(joint), "0", 2, "cap", "A1", "GTAW", _at(day, 10), "L-1", 100, "6", "6"],
    ]


def _butt_passes(joint: int, day: int) -> list[list[object]]:
    return [
        [*_key(joint), "0", 1, "root", "A1", "GTAW", _at(day, 9), "L-1", 100, "12", "12"],
        [*_key(joint), "0", 2, "fill", "B2", "SMAW", _at(day, 10), "L-2", 90, "6", "6"],
        [*_key(joint), "0", 3, "cap", "B2", "SMAW", _at(day, 11), "L-2", 90, "12", "12"],
    ]


def _repair_passes(joint: int, attempt: str, day: int) -> list[list[object]]:
    return [
        [*_key(joint), attempt, 1, "fill", "B2", "SMAW", _at(day, 10), "L-2", 90, None, None],
        [*_key(joint), attempt, 2, "cap", "B2", "SMAW", _at(day, 11), "L-2", 90, None, None],
    ]


def _look(
    joint: int, attempt: str, method: str, day: int, result: str = "accepted", leg: str | None = None
) -> list[object]:
    found = "Slag at 4" if result == "rejected" else None
    by = "Radiographer One" if method == "RT" else "Examiner One"
    return [
        *_key(joint),
        attempt,
        method,
        D(2026, 9, day),
        by,
        result,
        leg,
        leg,
        "0" if method == "VT" else None,
        found,
    ]


def _joint(number: int, kind: str) -> list[object]:
    butt = kind == "butt"
    heats = ["H-1", "H-3" if butt else "H-2", "A106 Gr. B", "A234 WPB" if butt else "A105"]
    return [*_key(number), kind, "shop", "2", "80", *heats, None if butt else "3000", "P-2" if butt else "P-1", "5G"]


# What the shop adds, and the owner's inspector, who holds the butt welds at RT: joint 1 is made with piece 11, which was cut from piece 10; both fillers went to who used them.
_SHOP: Sheets = {
    "Components": [
        ["drawing", "sheet", "piece", "kind", "NPS", "schedule", "material", "heat"],
        ["ISO-1", "1", "10", "pipe", "2", "80", "A106 Gr. B", "H-1"],
        ["ISO-1", "1", "11", "pipe", "2", "80", "A106 Gr. B", "H-1"],
    ],
    "Piece events": [
        ["drawing", "sheet", "piece", "event", "date", "by", "part", "mark transferred"],
        ["ISO-1", "1", "10", "received", D(2026, 8, 18), "Store One", None, None],
        ["ISO-1", "1", "10", "cut", D(2026, 8, 19), "Fitter One", "11", "yes"],
        ["ISO-1", "1", "11", "issued", D(2026, 8, 20), "Store One", None, None],
    ],
    "Hold points": [
        ["point", "step", "kind", "joint kind", "document"],
        ["4.2", "RT", "hold", "butt", "ITP-07"],
    ],
    "Attendances": [
        ["drawing", "sheet", "joint", "attempt", "point", "result", "date", "by"],
        ["ISO-1", "1", "3", "0", "4.2", "attended", D(2026, 9, 5), "Owner One"],
        ["ISO-1", "1", "4", "R2", "4.2", "waived", D(2026, 9, 17), "Owner One"],
    ],
    "Lot moves": [
        ["lot", "move", "stamp", "date", "by"],
        ["L-1", "issued", "A1", D(2026, 8, 31), "Store One"], ["L-2", "issued", "B2", D(2026, 8, 31), "Store One"],
    ],
}  # fmt: skip
# The one cell of the workbook with its shop that switches each of these codes on.
SHOP_SWITCHES: dict[str, tuple[str, int, str, object]] = {
    "piece-on-hold": ("Piece events", 4, "event", "on hold"),
    "piece-scrapped": ("Piece events", 4, "event", "scrapped"),
    "mark-not-transferred": ("Piece events", 3, "mark transferred", "no"),
    "lot-not-issued": ("Lot moves", 2, "stamp", "B2"),
    "hold-point-open": ("Attendances", 2, "result", "notified"),
}


_HEAT = ["C", "Mn", "P", "S", "Si", "Cr", "Cu", "Mo", "Ni", "V"]
_CHEMISTRY = [0.19, 0.85, 0.012, 0.008, 0.24, 0.06, 0.1, 0.02, 0.06, 0.003]
_WPQ = [
    "stamp", "WPQ", "process", "test date", "P-Number", "F-Number", "position", "coupon", "coupon diameter",
    "deposit thickness", "weld", "layers", "backing", "status", "status date",
]  # fmt: skip

_CLEAN: Sheets = {
    "Job": [
        ["code", "name", "client", "units", "code of construction", "edition", "time zone", "recording",
         "confirmation demanded"],
        ["J-1", "Small job", "Client One", "US", "ASME B31.3", "2018", "UTC", "pass", "no"],
    ],
    "Lines": [
        ["line", "service", "fluid service", "NPS", "schedule", "material", "exam plan"],
        ["L-100", "Condensate", "Normal", "2", "80", "A106 Gr. B", "E-1"],
    ],
    "Sheets": [["line", "drawing", "sheet", "revision", "spools"], ["L-100", "ISO-1", "1", "2", "SP-1"]],
    "Joints": [
        [
            *_KEY, "kind", "location", "NPS", "schedule", "heat A", "heat B", "material A", "material B", "class",
            "procedure", "position",
        ],
        _joint(1, "socket"), _joint(2, "socket"), _joint(3, "butt"), _joint(4, "butt"), _joint(5, "socket"),
        _joint(6, "socket"),
    ],
    "Procedures": [
        [
            "procedure", "revision", "P-Number", "processes", "joint kinds", "thickness min", "thickness max",
            "deposit max", "positions", "gap min", "gap max", "squareness max", "high-low max", "passes min",
            "stop spacing min (degrees)",
        ],
        ["P-1", "1", "1", "GTAW", "socket", "1/16", "1/2", "1/2", "all", "1/32", "1/8", "1/16", None, 2, 30],
        ["P-2", "1", "1", "GTAW, SMAW", "butt", "1/16", "1/2", "1/2", "all", "3/32", "5/32", None, "1/16", 3, 30],
    ],
    "Procedure passes": [
        ["procedure", "pass", "process", "filler", "filler diameter", "F-Number", "amps min", "amps max"],
        ["P-1", "root", "GTAW", "ER70S-6", "3/32", "6", 70, 130],
        ["P-1", "cap", "GTAW", "ER70S-6", "3/32", "6", 70, 130],
        ["P-2", "root", "GTAW", "ER70S-6", "3/32", "6", 70, 130],
        ["P-2", "fill", "SMAW", "E7018", "3/32", "4", 70, 120],
        ["P-2", "cap", "SMAW", "E7018", "3/32", "4", 70, 120],
    ],
    "Welders": [["stamp", "name", "employer"], ["A1", "Welder One", "Shop One"], ["B2", "Welder Two", "Shop One"]],
    "Qualifications": [
        _WPQ,
        ["A1", "Q-1", "GTAW", D(2025, 9, 1), "1", "6", "6G", "pipe", "2.375", "0.218", "groove", 3, "no", "active",
         D(2026, 8, 15)],
        ["B2", "Q-2", "SMAW", D(2025, 9, 1), "1", "4", "6G", "pipe", "2.375", "0.218", "groove", 3, "yes", "active",
         D(2026, 8, 15)],
    ],
    "Continuity": [
        ["stamp", "process", "date", "evidence"],
        ["A1", "GTAW", D(2026, 1, 20), "shop log"], ["A1", "GTAW", D(2026, 7, 6), "shop log"],
        ["B2", "SMAW", D(2026, 1, 20), "shop log"], ["B2", "SMAW", D(2026, 7, 6), "shop log"],
    ],
    "Heats": [
        ["heat", "material", "certificate", "analysis", *_HEAT],
        ["H-1", "A106 Gr. B", "C-1", "heat", *_CHEMISTRY],
        ["H-2", "A105", "C-2", "heat", *_CHEMISTRY],
        ["H-3", "A234 WPB", "C-3", "heat", *_CHEMISTRY],
    ],
    "Filler lots": [
        ["lot", "classification", "diameter", "certificate"],
        ["L-1", "ER70S-6", "3/32", "FC-1"], ["L-2", "E7018", "3/32", "FC-2"],
    ],
    "Examiners": [
        ["name", "method", "level", "valid until"],
        ["Examiner One", "VT", "II", D(2028, 1, 31)], ["Radiographer One", "RT", "II", D(2028, 1, 31)],
    ],
    "Exam plans": [["plan", "joint kind", "method", "share"], ["E-1", "all", "VT", 100], ["E-1", "butt", "RT", 10]],
    "Fit-ups": [
        [*_KEY, *_FIT_UP],
        _fit_up(1, 1), _fit_up(2, 2), _fit_up(3, 3, butt=True), _fit_up(4, 4, butt=True), _fit_up(5, 7, read=False),
    ],
    "Passes": [
        [*_KEY, *_PASS],
        *_socket_passes(1, 1), *_socket_passes(2, 2), *_butt_passes(3, 3), *_butt_passes(4, 4),
        *_repair_passes(4, "R1", 10), *_repair_passes(4, "R2", 15), *_socket_passes(5, 7),
    ],
    "Examinations": [
        [*_KEY, *_EXAM],
        _look(1, "0", "VT", 2, leg="1/4"), _look(2, "0", "VT", 3, leg="1/4"), _look(3, "0", "VT", 4),
        _look(3, "0", "RT", 5), _look(4, "0", "VT", 5), _look(4, "0", "RT", 8, "rejected"), _look(4, "R1", "VT", 11),
        _look(4, "R1", "RT", 12, "rejected"), _look(4, "R2", "VT", 16), _look(4, "R2", "RT", 17),
        _look(5, "0", "VT", 8, leg="1/4"),
    ],
    "Repairs": [
        [*_KEY, "attempt", "decision", "date", "by", "reason"],
        [*_key(4), "0", "repair", D(2026, 9, 9), "Examiner One", "Slag"],
        [*_key(4), "R1", "repair", D(2026, 9, 14), "Examiner One", "Slag again"],
    ],
    "Releases": [
        [*_KEY, "attempt", "date", "by"],
        [*_key(1), "0", D(2026, 9, 21), "Examiner One"], [*_key(2), "0", D(2026, 9, 21), "Examiner One"],
        [*_key(3), "0", D(2026, 9, 21), "Examiner One"], [*_key(4), "R2", D(2026, 9, 21), "Examiner One"],
        [*_key(5), "0", D(2026, 9, 21), "Examiner One"],
    ],
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One cell of a sheet given another value; `None` empties it."""

    sheet: str
    row: int
    column: str
    value: object


def change(sheet: str, row: int, column: str, value: object) -> Change:
    """A change of one cell, for `small_workbook`; `row` as the spreadsheet counts, 2 for the first below the header."""
    return Change(sheet, row, column, value)


def clean_sheets() -> Sheets:
    """A fresh copy of the clean workbook's cells, header rows first."""
    return copy.deepcopy(_CLEAN)


def row_of(sheet: str, **wanted: object) -> int:
    """The row of the clean workbook whose cells hold these values; spaces in a column's name are written as `_`.

    Raises LookupError unless exactly one row fits.
    """
    header, *rows = _CLEAN[sheet]
    found = [
        number
        for number, row in enumerate(rows, start=2)
        if all(row[header.index(name.replace("_", " "))] == value for name, value in wanted.items())
    ]
    if len(found) != 1:
        raise LookupError(f"{len(found)} rows of {sheet} fit {wanted}")
    return found[0]


def cell_of(sheet: str, row: int, column: str) -> str:
    """The name of a cell of the clean workbook, for example `D4`."""
    return xl_rowcol_to_cell(row - 1, _CLEAN[sheet][0].index(column))


def as_xlsx(sheets: Sheets) -> bytes:
    """The bytes of an .xlsx file with these cells; a text that starts with `=` is written as a formula that fails."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"created": datetime(2026, 9, 30)})  # noqa: DTZ001 - a workbook's date has no zone
    moment, day = (book.add_format({"num_format": text}) for text in ("yyyy-mm-dd hh:mm", "yyyy-mm-dd"))
    for name, rows in sheets.items():
        page = book.add_worksheet(name)
        for down, row in enumerate(rows):
            for across, value in enumerate(row):
                if isinstance(value, datetime):
                    page.write_datetime(down, across, value, moment)
                elif isinstance(value, date):
                    page.write_datetime(down, across, value, day)
                elif isinstance(value, str) and value.startswith("="):
                    page.write_formula(down, across, value, None, "#DIV/0!")
                elif value is not None:
                    page.write(down, across, value)
    book.close()
    return out.getvalue()


def changed_sheets(changes: Iterable[Change]) -> Sheets:
    """The clean workbook's cells with these changes made."""
    sheets = clean_sheets()
    for one in changes:
        sheets[one.sheet][one.row - 1][sheets[one.sheet][0].index(one.column)] = one.value
    return sheets


def small_workbook(*changes: Change) -> bytes:
    """The clean workbook as .xlsx, with some cells changed."""
    return as_xlsx(changed_sheets(changes))


def workbook_with_shop(*changes: Change) -> bytes:
    """The clean workbook with pieces and filler as the shop records them, with some cells changed."""
    return as_xlsx(sheets_with_shop(changes))


def sheets_with_shop(changes: Iterable[Change]) -> Sheets:
    """The cells of the clean workbook with its shop, with these changes made."""
    sheets = clean_sheets() | copy.deepcopy(_SHOP)
    header, first, *_ = sheets["Joints"]
    header.append("piece A")
    first.append("11")
    for one in changes:
        sheets[one.sheet][one.row - 1][sheets[one.sheet][0].index(one.column)] = one.value
    return sheets


def _pass(joint: int, order: int, attempt: str = "0") -> int:
    return row_of("Passes", joint=str(joint), order=order, attempt=attempt)


def _examination(joint: int, method: str, attempt: str = "0") -> int:
    return row_of("Examinations", joint=str(joint), method=method, attempt=attempt)


_A1_LATEST = row_of("Continuity", stamp="A1", date=D(2026, 7, 6))

# The one cell that switches each code on: sheet, row, column, bad value. What else it switches on is not said.
FINDING_SWITCHES: dict[str, tuple[str, int, str, object]] = {
    "table-unconfirmed": ("Job", 2, "confirmation demanded", "yes"),
    "fit-up-missing": ("Fit-ups", row_of("Fit-ups", joint="5"), "joint", "6"),
    "gap-out-of-range": ("Fit-ups", row_of("Fit-ups", joint="1"), "gap", "3/16"),
    "squareness-out-of-range": ("Fit-ups", row_of("Fit-ups", joint="1"), "squareness", "1/8"),
    "high-low-out-of-range": ("Fit-ups", row_of("Fit-ups", joint="3"), "high-low", "1/8"),
    "welder-not-qualified": ("Qualifications", row_of("Qualifications", stamp="A1"), "coupon diameter", "6.625"),
    "qualification-lapsed": ("Continuity", _A1_LATEST, "date", D(2026, 1, 25)),
    "tacker-not-qualified": ("Fit-ups", row_of("Fit-ups", joint="3"), "tack stamp", "B2"),
    "stamp-suspended": ("Qualifications", row_of("Qualifications", stamp="A1"), "status", "suspended"),
    "procedure-missing": ("Joints", row_of("Joints", joint="1"), "procedure", None),
    "procedure-not-applicable": ("Procedures", row_of("Procedures", procedure="P-1"), "joint kinds", "slip-on"),
    "pass-out-of-range": ("Passes", _pass(1, 1), "amps", 180),
    "filler-mismatch": ("Passes", _pass(1, 1), "filler lot", "L-2"),
    "too-few-passes": ("Procedures", row_of("Procedures", procedure="P-1"), "passes min", 3),
    "pass-not-all-round": ("Passes", _pass(1, 1), "stop", "9"),
    "pass-order": ("Passes", _pass(1, 1), "order", 3),
    "stops-stacked": ("Passes", _pass(1, 2), "start", "12"),
    "leg-too-small": ("Examinations", _examination(1, "VT"), "leg A", "1/8"),
    "undercut-too-deep": ("Examinations", _examination(1, "VT"), "undercut", "1/16"),
    "verdict-differs": ("Examinations", _examination(3, "RT"), "indications", "slag at 4, 1 in long"),
    "examination-due": ("Examinations", _examination(1, "VT"), "result", "re-shoot"),
    "examination-rejected": ("Examinations", _examination(3, "RT"), "result", "rejected"),
    "reason-missing": ("Examinations", _examination(3, "RT"), "result", "rejected"),
    "examiner-not-certified": ("Examiners", row_of("Examiners", method="VT"), "valid until", D(2026, 8, 1)),
    "heat-missing": ("Joints", row_of("Joints", joint="5"), "heat A", None),
    "heat-mismatch": ("Fit-ups", row_of("Fit-ups", joint="1"), "heat A read", "H-9"),
    "certificate-missing": ("Heats", row_of("Heats", heat="H-1"), "certificate", None),
    "material-mismatch": ("Joints", row_of("Joints", joint="1"), "material A", "A234 WPB"),
    "chemistry-out-of-range": ("Heats", row_of("Heats", heat="H-1"), "C", 0.45),
    "record-order": ("Examinations", _examination(1, "VT"), "date", D(2026, 8, 20)),
    "repairs-exceeded": ("Passes", _pass(4, 2, "R2"), "attempt", "R3"),
    "release-missing": ("Releases", row_of("Releases", joint="4"), "attempt", "0"),
    "superseded-revision": ("Sheets", 2, "revision", "3"),
}
