"""More than thirty files as they come from other programs: each is read as it is meant, or refused with a sentence."""

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import xlsxwriter

HEADS = "heat,material,C"


@dataclass(frozen=True)
class Odd:
    """One file; `heats` and `facts` are what is in the job afterwards, `said` is a part of the refusal."""

    name: str
    content: bytes
    heats: tuple[str, ...] = ()
    said: str = ""
    sheet: str = "Heats"
    ending: str = "csv"
    stored: str = ""


def heats(*lines: str, heads: str = HEADS, encoding: str = "utf-8", newline: str = "\n") -> bytes:
    """A table of heats."""
    return newline.join([heads, *lines, ""]).encode(encoding)


def book(write: Callable[[xlsxwriter.Workbook, xlsxwriter.workbook.Worksheet], None], **options: object) -> bytes:
    """An .xlsx with one sheet."""
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True, **options})
    write(made, made.add_worksheet("Heats"))
    made.close()
    return out.getvalue()


def shown_as(number: float, code: str) -> bytes:
    """A heat that is a number in a format."""

    def write(made: xlsxwriter.Workbook, sheet: xlsxwriter.workbook.Worksheet) -> None:
        sheet.write_row(0, 0, ["heat", "material", "C"])
        sheet.write_row(1, 1, ["A105", 0.2])
        sheet.write_number(1, 0, number, made.add_format({"num_format": code}))

    return book(write)


def as_text() -> bytes:
    """A heat typed as text."""
    return book(lambda made, sheet: [sheet.write_row(row, 0, cells) for row, cells in enumerate(
        [["heat", "material", "C"], ["00123", "A105", 0.2]])])  # type: ignore[func-returns-value]  # fmt: skip


def zipped(encoding: str) -> bytes:
    """A zip of one table."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("Heats.csv", heats("00123,A105,0.2", encoding=encoding))
    return out.getvalue()


def days(typed: str) -> bytes:
    """A line of the continuity of a welder with a day as typed."""
    return f"stamp;process;date\nA1;GTAW;{typed}\n".encode()


def days_1904() -> bytes:
    """A workbook that counts its days from 1904."""
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True, "date_1904": True})
    sheet = made.add_worksheet("Continuity")
    sheet.write_row(0, 0, ["stamp", "process", "date"])
    sheet.write_row(1, 0, ["A1", "GTAW"])
    sheet.write_datetime(1, 2, date(2026, 3, 4), made.add_format({"num_format": "yyyy-mm-dd"}))
    made.close()
    return out.getvalue()


TWO_DAYS = "can be read as two days"
NOT_UTF8 = "is not written in UTF-8; save it as CSV UTF-8"
ODD: tuple[Odd, ...] = (
    # How it is written.
    Odd("utf-8", heats("00123,A105,0.2"), ("00123",)),
    Odd("utf-8 with its mark", heats("00123,A105,0.2", encoding="utf-8-sig"), ("00123",)),
    Odd("utf-16 little end first, with its mark", b"\xff\xfe" + heats("00123,A105,0.2", encoding="utf-16-le"), ("00123",)),
    Odd("utf-16 big end first, with its mark", b"\xfe\xff" + heats("00123,A105,0.2", encoding="utf-16-be"), ("00123",)),
    Odd("utf-16 without a mark", heats("00123,A105,0.2", encoding="utf-16-le"), said="UTF-16 without saying so"),
    Odd("utf-16 big end first, without a mark", heats("1,A105,0.2", encoding="utf-16-be"), said="UTF-16 without saying so"),
    Odd("utf-32", heats("00123,A105,0.2", encoding="utf-32"), ("00123",)),
    Odd("utf-16 cut in a letter", b"\xff\xfe" + heats("1,A105,0.2", encoding="utf-16-le")[:-1], said="is not written in UTF-16"),
    Odd("cp1252 with an umlaut", heats("Ä-1,A105,0.2", encoding="cp1252"), said=NOT_UTF8),
    Odd("cp1252 without one", heats("A-1,A105,0.2", encoding="cp1252"), ("A-1",)),
    Odd("latin-2", heats("Ł-1,A105,0.2", encoding="iso8859-2"), said=NOT_UTF8),
    Odd("code page 850", heats("Ä-1,A105,0.2", encoding="cp850"), said=NOT_UTF8),
    Odd("Mac Roman", heats("Ä-1,A105,0.2", encoding="mac-roman"), said=NOT_UTF8),
    Odd("Shift JIS", heats("溶-1,A105,0.2", encoding="shift-jis"), said=NOT_UTF8),
    Odd("KOI8", heats("Ж-1,A105,0.2", encoding="koi8-r"), said=NOT_UTF8),
    Odd("utf-8 with an umlaut", heats("Ä-1,A105,0.2"), ("Ä-1",)),
    Odd("a zip of utf-16", zipped("utf-16"), ("00123",), ending="zip"),
    # How its lines and values end.
    Odd("lines of Windows", heats("00123,A105,0.2", newline="\r\n"), ("00123",)),
    Odd("lines of an old Mac", heats("00123,A105,0.2", newline="\r"), ("00123",)),
    Odd("semicolons", heats("00123;A105;0.2", heads="heat;material;C"), ("00123",)),
    Odd("tabs", heats("00123\tA105\t0.2", heads="heat\tmaterial\tC"), ("00123",)),
    Odd("a line that says the separator", b"sep=;\nheat;material;C\n00123;A105;0.2\n", ("00123",)),
    Odd("two separators alike", heats("1;A105,0.2", heads="heat;material,C"), said="can be read with comma or semicolon"),
    Odd("bars", heats("1|A105|0.2", heads="heat|material|C"), said="the column heat is missing"),
    Odd("a separator inside quotes", heats('"A,1",A105,0.2'), ("A,1",)),
    Odd("a line inside quotes", heats('"A\n1",A105,0.2'), ("A 1",)),
    Odd("a quote that never ends", heats('"A-1,A105,0.2'), said="is no comma-separated table"),
    # Figures.
    Odd("a decimal comma", heats("1;A105;0,2", heads="heat;material;C"), said="Write the decimal point as a point"),
    Odd("a decimal comma among commas", heats("1,A105,0,2", "2,A105,0.2"), said="the row has more values than there are headings"),
    Odd("thousands", heats('1;A105;"1,000.5"', heads="heat;material;C"), said="no separators between thousands"),
    Odd("zeros in front, typed as text", as_text(), ("00123",), ending="xlsx"),
    Odd("zeros in front of the format alone", shown_as(123, "00000"), said="zeros in front in its format only", ending="xlsx"),
    Odd("as many figures as the format", shown_as(12345, "00000"), ("12345",), ending="xlsx"),
    Odd("a word of the format alone", shown_as(7, '"K-"0'), said='"K-" in its format only', ending="xlsx"),
    Odd("more figures than a spreadsheet keeps", shown_as(1234567890123456, "0"), said="more than 15 figures", ending="xlsx"),
    Odd("a number with an exponent, as text", heats("1E5,A105,0.2"), ("1E5",)),
    # Days.
    Odd("a day in the form of ISO 8601", days("2026-03-04"), sheet="Continuity", stored="2026-03-04"),
    Odd("a day without hyphens", days("20260304"), sheet="Continuity", stored="2026-03-04"),
    Odd("a day counted from 1904", days_1904(), sheet="Continuity", ending="xlsx", stored="2026-03-04"),
    Odd("a day with slashes", days("03/04/2026"), said=TWO_DAYS, sheet="Continuity"),
    Odd("a day with full stops", days("03.04.2026"), said=TWO_DAYS, sheet="Continuity"),
    Odd("a day of two figures a year", days("03/04/26"), said=TWO_DAYS, sheet="Continuity"),
    Odd("a day that can be one only", days("25/04/2026"), sheet="Continuity", stored="2026-04-25"),
    Odd("a day beyond any month", days("32/04/2026"), said="is no date", sheet="Continuity"),
    Odd("a day with its month in words", days("4 March 2026"), sheet="Continuity", stored="2026-03-04"),
    Odd("a day with a word for its month", days("4 Marble 2026"), said="is no date", sheet="Continuity"),
    Odd("the number of a day, as text", days("46085"), said="is no date", sheet="Continuity"),
)  # fmt: skip
