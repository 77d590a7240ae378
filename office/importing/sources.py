"""Where sheets come from: an .xlsx or .ods workbook, or a folder or .zip of .csv files named after the sheets."""

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath
from typing import Any

from office.importing.archive import (
    ACCEPTED,
    Broken,
    Unreadable,
    broken_cells,
    check_text_document,
    chunks,
    open_archive,
)
from office.importing.delimited import decoded, separated
from office.importing.read_ahead import ReadAhead

MOST_BYTES = 100_000_000
# As many as a spreadsheet has.
MOST_COLUMNS = 16_384
_BOOKS = (".xlsx", ".xlsm", ".ods")
SUFFIXES = (*_BOOKS, ".zip", ".csv")


Reader = Callable[[], Iterator[list[Any]]]


@dataclass(slots=True)
class Part:
    """Some columns of a sheet that are read as a sheet of their own.

    sheet, form   the sheet of the file, and the sheet of the job workbook that the part is
    places        by the place of each column in the part, its place in the file; known once the heading is read
    """

    sheet: str
    form: str
    places: dict[int, int] = field(default_factory=dict)


@dataclass(slots=True)
class Source:
    """A workbook's sheets by name, each read when it is asked for; a read gives rows of cells from A1 on.

    is_delimited  its sheets are texts with separators, where one too many moves the values that follow it
    parts         what is part of another sheet, by its name
    """

    readers: dict[str, Reader]
    skipped: list[str]
    is_delimited: bool = False
    parts: dict[str, Part] = field(default_factory=dict)

    def rows(self, name: str) -> Iterator[list[Any]]:
        """Yield the rows of a sheet from the first on. Raises Unreadable."""
        return self.readers[name]()

    def sheet_of(self, name: str) -> str:
        """Return the sheet of the file that one is, or is part of."""
        return self.parts[name].sheet if name in self.parts else name


def open_source(path: Path) -> Source:
    """Open a workbook of any accepted form.

    Raises Unreadable where it is too large, damaged, or not what its name says; FileNotFoundError
    """
    if path.is_dir():
        return _folder(path)
    size = path.stat().st_size
    if size > MOST_BYTES:
        raise Unreadable(f"is {size / 1_000_000:.0f} MB large; at most {MOST_BYTES // 1_000_000} MB is read. Split it")
    suffix = path.suffix.lower()
    if suffix in _BOOKS:
        return _book(path, suffix)
    if suffix == ".zip":
        return _zip(path)
    if suffix == ".csv":
        return Source({path.stem: _csv_reader(path.name, path.read_bytes)}, [], is_delimited=True)
    raise Unreadable(f'ends in "{suffix}"; {ACCEPTED}')


def _book(path: Path, suffix: str) -> Source:
    kind = "an .ods workbook" if suffix == ".ods" else "an .xlsx workbook"
    book, broken = ReadAhead(path, kind), dict[str, Broken]()
    try:
        with open_archive(path, kind) as archive:
            if suffix == ".ods":
                check_text_document(archive)
            else:
                for name, cells in broken_cells(archive):
                    broken[name] = cells
                    book.ask(name)
        return Source({name: _sheet_reader(book, name, broken.get(name, {})) for name in book.names()}, [])
    finally:
        book.stop()


def _sheet_reader(book: ReadAhead, name: str, broken: Broken) -> Callable[[], Iterator[list[Any]]]:
    def read() -> Iterator[list[Any]]:
        by_row: dict[int, dict[int, Any]] = {}
        for (row, column), cell in broken.items():
            by_row.setdefault(row, {})[column] = cell
        number = 0
        for number, cells in enumerate(book.rows(name), start=1):
            yield _with_broken(cells, by_row[number]) if number in by_row else cells
        for later in range(number + 1, max(by_row, default=0) + 1):
            yield _with_broken([], by_row.get(later, {}))

    return read


def _with_broken(cells: list[Any], broken: dict[int, Any]) -> list[Any]:
    cells = [*cells, *[""] * (max(broken, default=-1) + 1 - len(cells))]
    for column, cell in broken.items():
        cells[column] = cell
    return cells


def _folder(path: Path) -> Source:
    files = sorted(file for file in path.iterdir() if file.is_file() and not file.name.startswith("."))
    tables = [file for file in files if file.suffix.lower() == ".csv"]
    size = sum(file.stat().st_size for file in tables)
    if size > MOST_BYTES:
        raise Unreadable(f"holds {size / 1_000_000:.0f} MB of .csv files; at most {MOST_BYTES // 1_000_000} MB is read")
    if not tables:
        raise Unreadable(
            "is a folder without a .csv file; the files are named after the sheets, for example Joints.csv"
        )
    readers = {file.stem: _csv_reader(file.name, file.read_bytes) for file in tables}
    return Source(readers, [file.name for file in files if file not in tables], is_delimited=True)


def _zip(path: Path) -> Source:
    archive = open_archive(path, "a .zip")
    entries = [entry for entry in archive.infolist() if not entry.is_dir() and not _is_hidden(entry.filename)]
    tables = [entry for entry in entries if entry.filename.lower().endswith(".csv")]
    if sum(entry.file_size for entry in tables) > MOST_BYTES:
        raise Unreadable(
            f"unpacks to more than {MOST_BYTES // 1_000_000} MB of .csv files, which is not read; split it"
        )
    if not tables:
        hint = "; it looks like a workbook: give it its ending .xlsx or .ods" if _is_book(archive.namelist()) else ""
        raise Unreadable(f"is a .zip without a .csv file; the files are named after the sheets{hint}")
    readers: dict[str, Callable[[], Iterator[list[Any]]]] = {}
    for entry in tables:
        name = PurePosixPath(entry.filename).stem
        if name in readers:
            raise Unreadable(f"holds two files named {name}.csv; one sheet is one file")
        readers[name] = _csv_reader(entry.filename, _entry_reader(archive, entry.filename))
    return Source(readers, [entry.filename for entry in entries if entry not in tables], is_delimited=True)


def _entry_reader(archive: Any, name: str) -> Callable[[], bytes]:
    return lambda: b"".join(chunks(archive, name))


def _is_hidden(name: str) -> bool:
    return any(part.startswith((".", "__MACOSX")) for part in PurePosixPath(name).parts)


def _is_book(names: list[str]) -> bool:
    return "xl/workbook.xml" in names or "content.xml" in names


def _csv_reader(name: str, read: Callable[[], bytes]) -> Callable[[], Iterator[list[Any]]]:
    def rows() -> Iterator[list[Any]]:
        text = decoded(name, read())
        delimiter, text = separated(name, text)
        try:
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
                if len(row) > MOST_COLUMNS:
                    raise Unreadable(f"{name} has a row of {len(row):,} columns; accepted are up to {MOST_COLUMNS:,}")
                yield row
        except csv.Error as error:
            raise Unreadable(f"{name} is no comma-separated table ({error})") from error

    return rows
