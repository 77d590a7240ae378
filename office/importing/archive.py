"""Look into a workbook's archive before reading it: that it is what it says, that it fits, and its broken cells.

A workbook is a zip of XML. A hostile one can claim a cell in the last row of the last column, or unpack to any size;
and what the reader gives for a formula's error is a blank. All three show in the XML, which is passed over once.
"""

import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from office.importing.cells import BrokenCell
from office.importing.number_formats import adding, misleading

MOST_UNPACKED = 1_000_000_000
MOST_ENTRIES = 5_000
MOST_CELLS = 30_000_000
_CHUNK = 1 << 20
_LONGEST_CELL = 4 << 20
# Sheets of a hundred thousand like rows are packed to a fortieth; one letter a hundred million times to a thousandth.
_SWOLLEN_BYTES, _SWOLLEN_TIMES = 20_000_000, 200

_WIDE = re.compile(rb' r="[A-Z]{3}')
_TWO_LETTERS = re.compile(rb' r="[A-Z]{2}')
_TALL = re.compile(rb' r="[A-Z]{0,3}\d{6}')
_UNPLACED = re.compile(rb"<c(?: (?!r=)[^>]*)?>")
_PLACE = re.compile(rb'<row\b(?:[^>]*? r="(\d+)")?[^>]*>|<c\b(?:[^>]*? r="([A-Z]+)(\d+)")?[^>]*>')
_ERROR = re.compile(rb'<c\b[^>]*? r="([A-Z]+)(\d+)"[^>]*? t="e"[^>]*>.*?<v>([^<]*)</v>', re.DOTALL)
_UNCOMPUTED = re.compile(
    rb'<c\b[^>]*? r="([A-Z]+)(\d+)"[^>]*>\s*(?:<f\b[^>]*/>|<f\b[^>]*>[^<]*</f>)\s*(?:<v\s*/>|<v></v>)?\s*</c>'
)
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"

_OLD_FORM = bytes.fromhex("d0cf11e0a1b11ae1")
_NEVER_COMPUTED = "a formula that was never computed; open the workbook in a spreadsheet program and save it there"

# What stands for a cell whose number alone misleads, by row and column.
Broken = dict[tuple[int, int], BrokenCell | str]


class Unreadable(Exception):
    """A file that can't be read, in a sentence that says what is accepted."""


def open_archive(path: Path, kind: str) -> zipfile.ZipFile:
    """Open a zip whose content, unpacked, is not too large. Raises Unreadable."""
    with path.open("rb") as file:
        if file.read(8) == _OLD_FORM:
            raise Unreadable("is locked with a password, or of the old .xls form; save it as .xlsx without a password")
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError) as error:
        raise Unreadable(f"is not {kind}, whatever its name says; {ACCEPTED}") from error
    entries = archive.infolist()
    if len(entries) > MOST_ENTRIES or sum(entry.file_size for entry in entries) > MOST_UNPACKED:
        raise Unreadable(f"unpacks to more than {MOST_UNPACKED // 1_000_000} MB, which is not read; split it")
    if any(_is_swollen(entry) for entry in entries):
        raise Unreadable("unpacks to so many times its size as no spreadsheet program packs; save it again")
    if any(entry.flag_bits & 0x1 for entry in entries):
        raise Unreadable("is protected by a password; save it without one")
    return archive


ACCEPTED = "accepted are .xlsx and .ods workbooks, a .csv file, and a folder or .zip of them"


def _is_swollen(entry: zipfile.ZipInfo) -> bool:
    return entry.file_size > _SWOLLEN_BYTES and entry.file_size > _SWOLLEN_TIMES * entry.compress_size


_BOOK, _LINKS, _STYLES = "xl/workbook.xml", "xl/_rels/workbook.xml.rels", "xl/styles.xml"
_NO_BOOK = f"is a zip, but no .xlsx workbook; {ACCEPTED}"


def chunks(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Yield an entry in pieces, checked against its size and sum. Raises Unreadable where it is damaged."""
    try:
        with archive.open(name) as entry:
            is_first = name.endswith((".xml", ".rels"))
            while piece := entry.read(_CHUNK):
                if is_first and b"<!DOCTYPE" in piece:
                    raise Unreadable(f"holds a document type ({name}), which no workbook has; save it again")
                is_first = False
                yield piece
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, KeyError) as error:
        raise Unreadable(f"is damaged ({name} can't be unpacked); save it again and import that") from error


def broken_cells(archive: zipfile.ZipFile) -> Iterator[tuple[str, Broken]]:
    """Yield each sheet's name of an .xlsx with the cells that hold an error or a formula nobody computed.

    Every part is unpacked once, so that what the archive says of itself is proven: all that are no sheets before the
    first is yielded, and each sheet before its own name is. Raises Unreadable
    """
    sheets = _sheet_parts(archive)
    formats = adding(b"".join(chunks(archive, _STYLES))) if _STYLES in archive.namelist() else {}
    for entry in archive.infolist():
        name = entry.filename
        if name not in sheets and name.startswith("xl/") and name.endswith((".xml", ".rels")):
            for _ in chunks(archive, name):
                pass
    for entry in archive.infolist():
        if entry.filename in sheets:
            yield sheets[entry.filename], _scan_sheet(archive, entry, formats)


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """The sheet names of an .xlsx by the archive's entry."""
    if not {_BOOK, _LINKS} <= set(archive.namelist()):
        raise Unreadable(_NO_BOOK)
    try:
        links = ElementTree.fromstring(b"".join(chunks(archive, _LINKS)))
        book = ElementTree.fromstring(b"".join(chunks(archive, _BOOK)))
    except ElementTree.ParseError as error:
        raise Unreadable(_NO_BOOK) from error
    targets = {link.get("Id", ""): link.get("Target", "") for link in links}
    parts = {}
    for sheet in book.iter(f"{_MAIN}sheet"):
        target = targets.get(sheet.get(_LINK, ""), "")
        parts[target.lstrip("/") if target.startswith("/") else f"xl/{target}"] = sheet.get("name", "")
    return parts


def _scan_sheet(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, formats: dict[bytes, str]) -> Broken:
    broken: Broken = {}
    is_wide = is_middling = is_tall = is_unplaced = False
    for piece in _whole_cells(archive, entry.filename):
        is_middling = is_middling or bool(_TWO_LETTERS.search(piece))
        is_wide = is_wide or (is_middling and bool(_WIDE.search(piece)))
        is_tall = is_tall or bool(_TALL.search(piece))
        is_unplaced = is_unplaced or bool(_UNPLACED.search(piece))
        if b't="e"' in piece:
            for cell in _ERROR.finditer(piece):
                broken[int(cell[2]), column_number(cell[1])] = BrokenCell(cell[3].decode(errors="replace"))
        if b"<f" in piece:
            for cell in _UNCOMPUTED.finditer(piece):
                # A computed empty text is written alike, but for its type.
                if b' t="str"' not in cell[0] or b"<v" not in cell[0]:
                    broken[int(cell[2]), column_number(cell[1])] = BrokenCell(_NEVER_COMPUTED)
        if formats:
            for column, row, cell_said in misleading(piece, formats):
                broken[row, column_number(column)] = cell_said
    columns = 16_384 if is_wide or is_unplaced else 702 if is_middling else 26
    if columns * (1_048_576 if is_tall or is_unplaced else 99_999) > MOST_CELLS and _cells(archive, entry) > MOST_CELLS:
        raise Unreadable(
            f"spans more than {MOST_CELLS // 1_000_000} million cells in one sheet; delete the stray cells far below or"
            " to the right of the table"
        )
    return broken


def _whole_cells(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Yield an entry's text cut before the beginning of a cell, so that no cell falls in two."""
    rest = b""
    for piece in chunks(archive, name):
        rest += piece
        cut = rest.rfind(b"<c ")
        if cut > 0:
            yield rest[:cut]
            rest = rest[cut:]
        elif len(rest) > _LONGEST_CELL:
            raise Unreadable("holds a cell of more than 4 MB, which no spreadsheet program writes")
    yield rest


def _cells(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> int:
    """The size of the rectangle from A1 to the last row and column, counted cell by cell."""
    row = column = last_row = last_column = 0
    for piece in _whole_cells(archive, entry.filename):
        for mark in _PLACE.finditer(piece):
            if mark[0].startswith(b"<row"):
                row, column = int(mark[1]) if mark[1] else row + 1, 0
            elif mark[2]:
                row, column = int(mark[3]), column_number(mark[2]) + 1
            else:
                column += 1
            last_row, last_column = max(last_row, row), max(last_column, column)
    return last_row * last_column


def column_number(found: bytes) -> int:
    """Return a column's number, from 0, of its letters."""
    number = 0
    for letter in found:
        number = number * 26 + letter - 64
    return number - 1


def check_text_document(archive: zipfile.ZipFile) -> None:
    """Refuse an .ods that is none, or whose repeated cells would fill the memory. Raises Unreadable"""
    if "content.xml" not in archive.namelist():
        raise Unreadable(f"is a zip, but no .ods workbook; {ACCEPTED}")
    size = _RepeatedSize()
    parser = size.parser()
    for piece in chunks(archive, "content.xml"):
        try:
            parser.feed(piece)
        except ElementTree.ParseError as error:
            raise Unreadable("is damaged (its content is no XML); save it again and import that") from error
        if size.largest > MOST_CELLS:
            raise Unreadable(
                f"spans more than {MOST_CELLS // 1_000_000} million cells in one sheet; delete stray cells"
            )


class _RepeatedSize:
    """Follows the tables of an .ods and keeps the rectangle that the cells with content span."""

    def __init__(self) -> None:
        self.largest = self.row = self.column = self.width = 0

    def parser(self) -> ElementTree.XMLParser:
        return ElementTree.XMLParser(target=self)

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition("}")[2]
        if name == "table":
            self.row = self.width = 0
        elif name == "table-row":
            self.row += _repeats(attributes, "number-rows-repeated")
            self.column = 0
        elif name in ("table-cell", "covered-table-cell"):
            self.column += _repeats(attributes, "number-columns-repeated")
            if any(key.endswith("}value-type") for key in attributes):
                self.width = max(self.width, self.column)
                self.largest = max(self.largest, self.row * self.width)

    def end(self, tag: str) -> None:
        """Nothing ends that matters here."""

    def data(self, text: str) -> None:
        """Texts do not change the size."""

    def close(self) -> None:
        """Nothing is left to do."""


def _repeats(attributes: dict[str, str], name: str) -> int:
    for key, value in attributes.items():
        if key.endswith("}" + name) and value.isdigit():
            return int(value)
    return 1
