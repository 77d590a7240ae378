"""One workbook with more than forty kinds of fault in it, each in a cell of its own."""

from datetime import date
from typing import NamedTuple

from tests.office.workbooks import Sheets, cell_of, clean_sheets


class Seeded(NamedTuple):
    """One fault: its kind, its cell, what stands there, and a part of what is said to be accepted there."""

    kind: str
    sheet: str
    row: int
    column: str
    value: object
    accepted: str

    @property
    def cell(self) -> str:
        """The name of the cell."""
        return cell_of(self.sheet, self.row, self.column)


SEEDED: tuple[Seeded, ...] = (
    Seeded("unit system", "Job", 2, "units", "cubits", "US, SI"),
    Seeded("time zone", "Job", 2, "time zone", "Mars/Crater", "accepted"),
    Seeded("level of recording", "Job", 2, "recording", "sometimes", "parameters"),
    Seeded("yes or no", "Job", 2, "confirmation demanded", "perhaps", "yes, no"),
    Seeded("fluid service", "Lines", 2, "fluid service", "Fizzy", "Normal"),
    Seeded("exam plan that is not there", "Lines", 2, "exam plan", "E-404", "E-1"),
    Seeded("line that is not there", "Sheets", 2, "line", "L-404", "L-100"),
    Seeded("kind of joint", "Joints", 2, "kind", "glued", "socket"),
    Seeded("place", "Joints", 3, "location", "moon", "field"),
    Seeded("pipe size", "Joints", 4, "NPS", "2-5/8", "2-1/2"),
    Seeded("schedule of a size", "Joints", 5, "schedule", "77", "80"),
    Seeded("heat that is not there", "Joints", 6, "heat A", "H-404", "H-1"),
    Seeded("procedure that is not there", "Joints", 7, "procedure", "P-404", "P-1"),
    Seeded("drawing that is not there", "Joints", 2, "drawing", "ISO-404", "ISO-1"),
    Seeded("position", "Joints", 3, "position", "sideways", "2G, 5F or SP"),
    Seeded("day made of a fraction", "Joints", 7, "NPS", date(2026, 3, 4), "format the cell as text"),
    Seeded("text that is too long", "Joints", 4, "class", "9" * 80, "at most"),
    Seeded("P-Number", "Procedures", 2, "P-Number", "steel", "1, 5A or 8"),
    Seeded("number of passes", "Procedures", 2, "passes min", "two", "whole number from"),
    Seeded("process of a list", "Procedures", 3, "processes", "GTAW, glue", "SMAW"),
    Seeded("F-Number", "Procedure passes", 2, "F-Number", "six", "F-Number"),
    Seeded("kind of pass in a procedure", "Procedure passes", 3, "pass", "icing", "cap"),
    Seeded("welder without a name", "Welders", 3, "name", None, "needed in every row"),
    Seeded("day of a test", "Qualifications", 2, "test date", "last spring", "2026-09-01"),
    Seeded("coupon", "Qualifications", 2, "coupon", "cube", "pipe, plate"),
    Seeded("status", "Qualifications", 3, "status", "asleep", "active"),
    Seeded("weld of a coupon", "Qualifications", 3, "weld", "seam", "groove"),
    Seeded("process", "Continuity", 2, "process", "gluing", "GTAW"),
    Seeded("day that may be two", "Continuity", 3, "date", "03/04/2026", "the day first"),
    Seeded("figure in words", "Heats", 2, "C", "low", "0.5"),
    Seeded("decimal comma", "Heats", 3, "Mn", "0,85", "decimal point as a point"),
    Seeded("analysis", "Heats", 4, "analysis", "guess", "heat, product"),
    Seeded("figure over all", "Heats", 4, "Mn", 140, "0 to 100"),
    Seeded("method", "Examiners", 2, "method", "sniffing", "VT"),
    Seeded("share over all", "Exam plans", 2, "share", 140, "0 to 100"),
    Seeded("share that may be two", "Exam plans", 3, "share", 0.1, "10 %"),
    Seeded("gap wider than any", "Fit-ups", 2, "gap", "3 in", "0 to"),
    Seeded("day in the future", "Fit-ups", 2, "date", date(2199, 1, 1), "up to"),
    Seeded("formula that fails", "Fit-ups", 3, "gap", "=1/0", "accepted is a value"),
    Seeded("unit", "Fit-ups", 4, "gap", "2 furlong", "40 mm"),
    Seeded("length below nothing", "Fit-ups", 5, "gap", "-1/16", "1/8 in"),
    Seeded("length in words", "Fit-ups", 6, "gap", "tight", "1/8 in"),
    Seeded("joint that is not there", "Fit-ups", 3, "joint", "404", "accepted"),
    Seeded("stamp that is not there", "Fit-ups", 4, "tack stamp", "Z9", "A1"),
    Seeded("nobody", "Fit-ups", 5, "by", None, "needed in every row"),
    Seeded("clearance wider than any", "Fit-ups", 6, "squareness", "80 mm", "0 to"),
    Seeded("order in words", "Passes", 2, "order", "first", "whole number"),
    Seeded("lot that is not there", "Passes", 3, "filler lot", "L-404", "L-1"),
    Seeded("attempt", "Passes", 4, "attempt", "X1", "R1"),
    Seeded("current below nothing", "Passes", 5, "amps", -100, "140"),
    Seeded("hour after twelve", "Passes", 6, "start", "13:30", "12"),
    Seeded("control character", "Passes", 7, "pass", "ro\x01ot", "plain text"),
    Seeded("day that no calendar has", "Passes", 8, "date", "2026-02-30", "2026-09-01"),
    Seeded("result", "Examinations", 2, "result", "probably", "accepted, rejected"),
    Seeded("decision", "Repairs", 2, "decision", "ignore", "repair"),
    Seeded("row that stands twice", "Filler lots", 3, "lot", "L-1", "one row each"),
)  # fmt: skip


def seeded_sheets() -> Sheets:
    """The clean workbook with all of them in it."""
    sheets = clean_sheets()
    for one in SEEDED:
        sheets[one.sheet][one.row - 1][sheets[one.sheet][0].index(one.column)] = one.value
    return sheets
