"""Tables as .xlsx and .csv, row after row with flat memory; no text in them ever becomes a formula."""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

Cell = str | int | float | Decimal | date | datetime | None
MOST_ROWS = 1_048_576
MOST_SIGNS = 32_767
CUT_MARK = "… (cut)"
# What no XML and no spreadsheet can hold. A line break is one sign, whatever computer it was typed on.
_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_RETURN = re.compile(r"\r\n?")
# A spreadsheet program takes a text that begins so for a formula when it opens a .csv file.
_FORMULA = re.compile(r"[=+\-@\t\r\n＝＋－＠]")
# Where a computer's lists are separated by other signs, it may begin a cell in the middle of a text.
_FORMULA_WITHIN = re.compile(r"([;\t\n] *+)(?=[=@＝＠]|[+\-＋－]\S)")
_WIDEST, _NARROWEST = 60, 8


class TooLong(Exception):
    """A table with more rows than a sheet of a spreadsheet holds, in a sentence."""


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a column.

    name      as the first row shows it       note   shown when somebody points at it
    is_bold   what names a row, or must be there
    choices   words to choose from; others may be typed all the same
    """

    name: str
    is_bold: bool = False
    note: str = ""
    choices: tuple[str, ...] = ()


def plain_text(text: str) -> str:
    """Return a text as a cell holds it: without control characters, and with line breaks of one kind."""
    return _NO_TEXT.sub(" ", _RETURN.sub("\n", text)) if not text.isprintable() else text


class Book:
    """An .xlsx workbook under way; rows of several sheets may be written in turns."""

    def __init__(self, target: Path) -> None:
        """Begin the file. Raises OSError where it can't be written."""
        options = {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
        self._file = target.open("wb")
        self._book = xlsxwriter.Workbook(self._file, options)
        self._head = self._book.add_format({"bg_color": "#E8E8E8", "bottom": 1})
        self._bold = self._book.add_format({"bg_color": "#E8E8E8", "bottom": 1, "bold": True})
        self.day = self._book.add_format({"num_format": "yyyy-mm-dd", "align": "left"})
        self.moment = self._book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss", "align": "left"})
        self.text = self._book.add_format({"num_format": "@"})

    def sheet(self, name: str, heads: Sequence[Head], *, is_template: bool = False) -> "Page":
        """Begin a sheet with its row of heads.

        is_template  rows are still to be typed: cells are texts, so that no fraction turns into a date
        """
        page = self._book.add_worksheet(name)
        page.freeze_panes(1, 0)
        page.ignore_errors({"number_stored_as_text": "A1:XFD1048576"})
        for place, head in enumerate(heads):
            width = max(_NARROWEST, min(_WIDEST, len(head.name) + 3))
            page.set_column(place, place, width, self.text if is_template else None)
        for place, head in enumerate(heads):
            page.write_string(0, place, head.name, self._bold if head.is_bold else self._head)
            if head.note:
                lines = 2 + head.note.count("\n") + len(head.note) // 38
                page.write_comment(0, place, head.note, {"x_scale": 2, "y_scale": max(1, lines / 4), "font_size": 9})
            if head.choices:
                page.data_validation(
                    1,
                    place,
                    MOST_ROWS - 1,
                    place,
                    {"validate": "list", "source": list(head.choices), "show_error": False},
                )
        return Page(self, page, name)

    def close(self) -> None:
        """Finish the file."""
        with self._file:
            self._book.close()


class Page:
    """One sheet under way."""

    def __init__(self, book: Book, page: Worksheet, name: str) -> None:
        self._book, self._page, self._name, self.rows = book, page, name, 0

    def write(self, cells: Iterable[Cell]) -> None:
        """Write the next row. Raises TooLong where the sheet is full."""
        self.rows += 1
        if self.rows >= MOST_ROWS:
            raise TooLong(f"The sheet {self._name} would have more than {MOST_ROWS:,} rows; no spreadsheet holds them.")
        page, row, book = self._page, self.rows, self._book
        for place, cell in enumerate(cells):
            if cell is None or cell == "":
                continue
            if isinstance(cell, str):
                page.write_string(row, place, fitting(cell))
            elif isinstance(cell, datetime):
                page.write_datetime(row, place, cell, book.moment)
            elif isinstance(cell, date):
                page.write_datetime(row, place, cell, book.day)
            else:
                page.write_number(row, place, cell)


def fitting(text: str) -> str:
    """Return a text as a cell of an .xlsx can hold it; what is too long is cut, and says so."""
    kept = plain_text(text)
    return kept if len(kept) <= MOST_SIGNS else kept[: MOST_SIGNS - len(CUT_MARK)] + CUT_MARK


def write_xlsx(target: Path, name: str, heads: Sequence[Head], rows: Iterable[Iterable[Cell]]) -> None:
    """Write one table as an .xlsx file. Raises TooLong."""
    book = Book(target)
    page = book.sheet(name, heads)
    for row in rows:
        page.write(row)
    book.close()


def csv_lines(heads: Sequence[Head], rows: Iterable[Iterable[Cell]]) -> Iterator[bytes]:
    """Yield a table as lines of .csv in UTF-8 with its mark, by which spreadsheet programs know the encoding.

    A text that a spreadsheet program would take for a formula gets an apostrophe before it, and so does what follows a
    semicolon, a tab or a line's end within it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")

    def line(cells: Iterable[Any]) -> bytes:
        writer.writerow(cells)
        text = out.getvalue()
        out.seek(0)
        out.truncate()
        return text.encode()

    yield "\ufeff".encode() + line(head.name for head in heads)
    for row in rows:
        yield line(map(_as_csv, row))


def _as_csv(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        kept = _FORMULA_WITHIN.sub(r"\1'", plain_text(cell))
        return f"'{kept}" if _FORMULA.match(kept) else kept
    if isinstance(cell, datetime):
        return cell.isoformat(" ")
    if isinstance(cell, date):
        return cell.isoformat()
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)
