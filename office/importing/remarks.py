"""A workbook given back with what is wrong with it: a remark on each faulty cell of an .xlsx."""

import io
import zipfile
from pathlib import Path

from openpyxl import load_workbook
from openpyxl.cell import Cell, MergedCell
from openpyxl.comments import Comment
from openpyxl.utils.exceptions import InvalidFileException
from openpyxl.worksheet.worksheet import Worksheet

from office.importing.archive import Unreadable
from office.importing.faults import CellFault

# A workbook is held whole while remarks are put on it, at many times its size.
MOST_BYTES, MOST_UNPACKED, MOST_REMARKS = 3_000_000, 20_000_000, 5_000
_AUTHOR = "Spoolbook"
# What the reader says of parts that it does not know.
_ODD = (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, TypeError, AttributeError, IndexError)
_WIDTH, _HEIGHT = 320, 120


def takes_remarks(path: Path) -> bool:
    """Say whether a file is an .xlsx small enough to be held whole."""
    if path.suffix.lower() != ".xlsx" or path.stat().st_size > MOST_BYTES:
        return False
    try:
        with zipfile.ZipFile(path) as archive:
            return sum(entry.file_size for entry in archive.infolist()) <= MOST_UNPACKED
    except zipfile.BadZipFile:
        return False


def with_remarks(path: Path, faults: list[CellFault]) -> bytes:
    """Return the .xlsx with a remark on each faulty cell; its values, formulas and styles stay as they are.

    faults  those of cells of this file; one that is of no cell is left out
    Raises  Unreadable where the file is too odd to be written again
    """
    said: dict[tuple[str, str], list[str]] = {}
    for fault in faults[:MOST_REMARKS]:
        if fault.row:
            said.setdefault((fault.sheet, fault.cell), []).append(fault.message)
    try:
        book = load_workbook(path)
    except _ODD as error:
        raise Unreadable("can't be written again by this program; take the list instead") from error
    for (sheet, place), messages in said.items():
        cell = _cell(book[sheet], place)
        before = [cell.comment.text] if cell.comment else []
        cell.comment = Comment("\n".join([*messages, *before]), _AUTHOR, height=_HEIGHT, width=_WIDTH)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _cell(sheet: Worksheet, place: str) -> Cell:
    """The cell of a place; of joined cells the one that shows."""
    found = sheet[place]
    if isinstance(found, MergedCell):
        joined = next(one for one in sheet.merged_cells.ranges if place in one)
        found = sheet.cell(joined.min_row, joined.min_col)
    assert isinstance(found, Cell)
    return found
