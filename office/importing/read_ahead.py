"""Read the sheets of a workbook one after the other, beside the thread that asks for their rows."""

from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from pathlib import Path
from threading import Lock
from typing import Any

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, SheetTypeEnum

from office.importing.archive import Unreadable


class ReadAhead:
    """A workbook whose sheets are read in the order in which they were asked for; the reader runs outside Python.

    A sheet is held from when it was read until its rows are taken; taken again, it is read again. The reader of a
    workbook serves one thread at a time.
    """

    def __init__(self, path: Path, kind: str) -> None:
        self._path, self._kind = path, kind
        self._alone = Lock()
        self._thread = ThreadPoolExecutor(max_workers=1, thread_name_prefix="read-ahead")
        self._book: CalamineWorkbook | None = None
        self._names: Future[list[str]] | None = None
        self._asked: dict[str, Future[CalamineSheet]] = {}

    def ask(self, name: str) -> None:
        """Have a sheet read by and by; all parts of the workbook but the other sheets must be known to be sound."""
        self._ask_names()
        if name not in self._asked:
            self._asked[name] = self._thread.submit(self._read, name)

    def names(self) -> list[str]:
        """The worksheets in their order; nothing more can be asked for. Raises Unreadable"""
        try:
            names = self._ask_names().result()
            for name in names:
                self.ask(name)
        finally:
            self.stop()
        return names

    def stop(self) -> None:
        """Let the thread end when it has read what was asked for."""
        self._thread.shutdown(wait=False)

    def rows(self, name: str) -> Iterator[list[Any]]:
        """Yield the rows of a sheet from the first on, each from column A on. Raises Unreadable"""
        asked = self._asked.pop(name, None)
        sheet = asked.result() if asked else self._read(name)
        before = [""] * (sheet.start[1] if sheet.start else 0)
        return ([*before, *cells] if before else cells for cells in sheet.iter_rows())

    def _ask_names(self) -> Future[list[str]]:
        """Before the sheets: whoever asks for the names waits for none of them."""
        if self._names is None:
            self._names = self._thread.submit(self._worksheets)
        return self._names

    def _opened(self) -> CalamineWorkbook:
        if self._book is None:
            try:
                self._book = CalamineWorkbook.from_path(str(self._path))
            except CalamineError as error:
                said = f"is not {self._kind} that can be read ({error}); save it again and import that"
                raise Unreadable(said) from error
        return self._book

    def _worksheets(self) -> list[str]:
        return [sheet.name for sheet in self._opened().sheets_metadata if sheet.typ == SheetTypeEnum.WorkSheet]

    def _read(self, name: str) -> CalamineSheet:
        try:
            with self._alone:
                return self._opened().get_sheet_by_name(name)
        except CalamineError as error:
            raise Unreadable(f"has a sheet {name} that can't be read ({error})") from error
