"""A workbook's sheets are read beside the thread that asks for them, also where one is taken twice."""

from pathlib import Path

import openpyxl

from office.importing.sources import open_source

_ROWS = 2_000


def _workbook(path: Path) -> Path:
    book = openpyxl.Workbook(write_only=True)
    for number in range(6):
        sheet = book.create_sheet(f"List {number}")
        for row in range(_ROWS):
            sheet.append([number, row, "A106 Gr. B", "W-01"])
    book.save(path)
    return path


def test_a_sheet_is_read_again_while_the_others_are_read(tmp_path: Path) -> None:
    source = open_source(_workbook(tmp_path / "lists.xlsx"))
    first = list(source.rows("List 0"))
    again = [list(source.rows("List 0")) for _ in range(5)]
    assert all(rows == first for rows in again)
    assert [len(list(source.rows(f"List {number}"))) for number in range(6)] == [_ROWS] * 6
