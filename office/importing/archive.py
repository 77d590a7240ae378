"""Look into a workbook's archive before reading it: that it is what it says, that it fits, and its broken cells.

A workbook is a zip of XML. A hostile one can claim a cell in the last row of the last column, or unpack to any size;
and what the reader gives for a formula's error is a blank. All three show in the XML, which is passed over once.
"""

import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

from office.importing import cell_marks as marks
from office.importing.cells import BrokenCell
from office.importing.number_formats import adding, misleading
from office.importing.shared_texts import SharedTexts, TooMuchText

MOST_UNPACKED = 1_000_000_000
MOST_ENTRIES = 5_000
MOST_CELLS = 30_000_000
# What the texts of a file hold once each cell has its own.
MOST_LETTERS = 400_000_000
# A part that is read whole: the list of sheets, or of formats.
_LONGEST_LIST = 20_000_000
_CHUNK = 1 << 20
_LONGEST_CELL = 4 << 20
# Sheets of a hundred thousand like rows are packed to a fortieth; one letter a hundred million times to a thousandth.
_SWOLLEN_BYTES, _SWOLLEN_TIMES = 20_000_000, 200

_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"

_OLD_FORM = bytes.fromhex("d0cf11e0a1b11ae1")
_MARK_OF_TYPE = len(b"<!DOCTYPE")
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
            is_text, before = name.lower().endswith((".xml", ".rels")), b""
            while piece := entry.read(_CHUNK):
                if is_text and b"<!DOCTYPE" in before + piece:
                    raise Unreadable(f"holds a document type ({name}), which no workbook has; save it again")
                if is_text and b"\0" in piece:
                    raise Unreadable(f"holds a part that is not written in UTF-8 ({name}); save it again")
                before = piece[-_MARK_OF_TYPE:]
                yield piece
    except (zipfile.BadZipFile, zlib.error, OSError, EOFError, NotImplementedError, KeyError) as error:
        raise Unreadable(f"is damaged ({name} can't be unpacked); save it again and import that") from error


def broken_cells(archive: zipfile.ZipFile) -> Iterator[tuple[str, Broken]]:
    """Yield each sheet's name of an .xlsx with the cells that hold an error or a formula nobody computed.

    Every part is unpacked once, so that what the archive says of itself is proven: all that are no sheets before the
    first is yielded, and each sheet before its own name is. Raises Unreadable
    """
    sheets = _sheet_parts(archive)
    formats = adding(_whole(archive, _STYLES)) if _STYLES in archive.namelist() else {}
    texts = SharedTexts(MOST_LETTERS)
    for entry in archive.infolist():
        if entry.filename not in sheets and entry.filename.lower().endswith((".xml", ".rels")):
            _take_other(archive, entry, texts)
    for entry in archive.infolist():
        if entry.filename in sheets:
            yield sheets[entry.filename], _scan_sheet(archive, entry, formats, texts)


def _take_other(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, texts: SharedTexts) -> None:
    """Unpack a part that no sheet is called by; what looks like a sheet all the same is held to the limits of one."""
    is_texts, is_sheet = entry.filename.lower().endswith("sharedstrings.xml"), False
    for piece in _whole_cells(archive, entry.filename) if is_texts else chunks(archive, entry.filename):
        is_sheet = is_sheet or b"sheetData" in piece
        if is_texts:
            texts.take(piece)
    if is_sheet:
        _scan_sheet(archive, entry, {}, texts)


def _whole(archive: zipfile.ZipFile, name: str) -> bytes:
    """A part that is read whole. Raises Unreadable where it is larger than such a list can be"""
    if archive.getinfo(name).file_size > _LONGEST_LIST:
        raise Unreadable(f"holds a list of more than {_LONGEST_LIST // 1_000_000} MB ({name}); save it again")
    return b"".join(chunks(archive, name))


def _sheet_parts(archive: zipfile.ZipFile) -> dict[str, str]:
    """The sheet names of an .xlsx by the archive's entry."""
    if not {_BOOK, _LINKS} <= set(archive.namelist()):
        raise Unreadable(_NO_BOOK)
    if len({_plain_path(name) for name in archive.namelist()}) < len(archive.namelist()):
        raise Unreadable("holds two parts of one name, which no program packs; save it again")
    try:
        links = _starts_of(_whole(archive, _LINKS), "Relationship")
        sheets = _starts_of(_whole(archive, _BOOK), "sheet")
    except ElementTree.ParseError as error:
        raise Unreadable(_NO_BOOK) from error
    targets = {link.get("Id", ""): link.get("Target", "") for link in links}
    # A reader finds a part whatever the case of its letters.
    named = {_plain_path(name): name for name in archive.namelist()}
    parts = {}
    for sheet in sheets:
        target = targets.get(sheet.get(_LINK, ""), "")
        path = target.lstrip("/") if target.startswith(("/", "xl/")) else f"xl/{target}"
        parts[named.get(_plain_path(path), path)] = sheet.get("name", "")
    return parts


class _Starts:
    """Keeps the attributes of some elements and nothing else, so that no tree grows of what is left aside."""

    def __init__(self, wanted: str) -> None:
        self._wanted, self.found = f"}}{wanted}", list[dict[str, str]]()

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag.endswith(self._wanted):
            self.found.append(attributes)

    def end(self, tag: str) -> None:
        """Nothing ends that matters here."""

    def data(self, text: str) -> None:
        """Texts say nothing here."""

    def close(self) -> list[dict[str, str]]:
        """Return what was found."""
        return self.found


def _starts_of(content: bytes, wanted: str) -> list[dict[str, str]]:
    parser = ElementTree.XMLParser(target=_Starts(wanted))
    parser.feed(content)
    return list(parser.close())  # type: ignore[arg-type]  # what the target's own `close` returns


def _plain_path(name: str) -> str:
    return name.replace("\\", "/").lower()


def _scan_sheet(
    archive: zipfile.ZipFile,
    entry: zipfile.ZipInfo,
    formats: dict[bytes, str],
    texts: SharedTexts,
) -> Broken:
    """Return the broken cells of a sheet. Raises Unreadable where its cells, or their texts, would fill the memory"""
    broken: Broken = {}
    is_wide = is_middling = is_tall = is_far = is_odd = False
    count = 0
    for piece in _whole_cells(archive, entry.filename):
        is_middling = is_middling or bool(marks.TWO_LETTERS.search(piece))
        is_wide = is_wide or (is_middling and bool(marks.WIDE.search(piece)))
        is_tall = is_tall or bool(marks.TALL.search(piece))
        is_far = is_far or (is_tall and bool(marks.FAR.search(piece)))
        is_odd = is_odd or not marks.is_usual(piece)
        count += marks.count_cells(piece)
        _take_broken(piece, formats, broken)
    columns = marks.MOST_COLUMNS if is_wide or is_odd else 702 if is_middling else 26
    if is_far or columns * (marks.MOST_ROWS if is_tall or is_odd else 99_999) > MOST_CELLS:
        _refuse_wide(archive, entry, is_odd=is_odd)
    if texts.may_be_too_much(count):
        _refuse_long(archive, entry, texts)
    return broken


def _take_broken(piece: bytes, formats: dict[bytes, str], broken: Broken) -> None:
    if b't="e"' in piece:
        for cell in marks.ERROR.finditer(piece):
            broken[int(cell[2]), marks.column_number(cell[1])] = BrokenCell(cell[3].decode(errors="replace"))
    if b"<f" in piece:
        for cell in marks.UNCOMPUTED.finditer(piece):
            # A computed empty text is written alike, but for its type.
            if b' t="str"' not in cell[0] or b"<v" not in cell[0]:
                broken[int(cell[2]), marks.column_number(cell[1])] = BrokenCell(_NEVER_COMPUTED)
    if formats:
        for column, row, cell_said in misleading(piece, formats):
            broken[row, marks.column_number(column)] = cell_said


def _refuse_wide(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, *, is_odd: bool) -> None:
    """Refuse a sheet that spans too many cells from A1 to the last row and column, counted cell by cell."""
    extent = marks.Extent()
    for piece in _whole_cells(archive, entry.filename):
        try:
            extent.take(piece) if is_odd else extent.take_usual(piece)
        except marks.Odd as odd:
            raise Unreadable(f"{odd} ({entry.filename}); save it again and import that") from odd
    if extent.rows * extent.columns > MOST_CELLS:
        raise Unreadable(
            f"spans more than {MOST_CELLS // 1_000_000} million cells in one sheet; delete the stray cells far below or"
            " to the right of the table"
        )


def _refuse_long(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, texts: SharedTexts) -> None:
    try:
        texts.hold_to(_whole_cells(archive, entry.filename))
    except TooMuchText as error:
        raise Unreadable(_TOO_LONG) from error


_TOO_LONG = "has the same long text in so many cells that they would fill the memory; delete it there"


def _whole_cells(archive: zipfile.ZipFile, name: str) -> Iterator[bytes]:
    """Yield an entry's text cut before the beginning of a cell, so that no cell falls in two."""
    rest = b""
    for piece in chunks(archive, name):
        rest += piece
        cut = rest.rfind(b"<c ")
        if cut < 0:
            cut = rest.rfind(b"<")
        if cut > 0:
            yield rest[:cut]
            rest = rest[cut:]
        elif len(rest) > _LONGEST_CELL:
            raise Unreadable("holds a cell of more than 4 MB, which no spreadsheet program writes")
    yield rest


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
        if size.letters > MOST_LETTERS:
            raise Unreadable(_TOO_LONG)


class _RepeatedSize:
    """Follows the tables of an .ods: the rectangle that the cells with content span, and the letters that they hold."""

    def __init__(self) -> None:
        self.largest = self.letters = self.row = self.column = self.width = 0
        self._repeats = self._row_repeats = 1
        self._in_cell = self._in_row = 0

    def parser(self) -> ElementTree.XMLParser:
        return ElementTree.XMLParser(target=self)

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition("}")[2]
        if name == "table":
            self.row = self.width = 0
        elif name == "table-row":
            self._row_repeats = _repeats(attributes, "number-rows-repeated")
            self.row += self._row_repeats
            self.column = self._in_row = 0
        elif name in _ODS_CELLS:
            self._repeats = _repeats(attributes, "number-columns-repeated")
            self.column += self._repeats
            self._in_cell = sum(map(len, attributes.values()))
            if any(key.endswith("}value-type") for key in attributes):
                self.width = max(self.width, self.column)
                self.largest = max(self.largest, self.row * self.width)
        elif name == "s":
            self._take(_repeats(attributes, "c"))

    def end(self, tag: str) -> None:
        name = tag.rpartition("}")[2]
        if name in _ODS_CELLS:
            self._in_row += self._in_cell * self._repeats
            self._in_cell = 0
        elif name == "table-row":
            self.letters += self._in_row * self._row_repeats

    def data(self, text: str) -> None:
        self._take(len(text))

    def close(self) -> None:
        """Nothing is left to do."""

    def _take(self, letters: int) -> None:
        self._in_cell += letters
        # One cell alone may be too much, before its row ends.
        self.letters = max(self.letters, self._in_cell)


_ODS_CELLS = ("table-cell", "covered-table-cell")


def _repeats(attributes: dict[str, str], name: str) -> int:
    """How often something stands: a number too long to be read is more than any limit."""
    for key, value in attributes.items():
        if key.endswith("}" + name) and value.isascii() and value.isdigit():
            return int(value) if len(value) < 12 else MOST_UNPACKED
    return 1
