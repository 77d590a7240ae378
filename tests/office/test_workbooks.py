"""The small workbooks are what they say: readable, clean in their references, one cell different at a time."""

import io

import pytest
from python_calamine import CalamineWorkbook

from rules.codes import CODES
from tests.office.bad_input import FAULTS, HARMLESS
from tests.office.workbooks import (
    FINDING_SWITCHES,
    SHOP_SWITCHES,
    Change,
    cell_of,
    change,
    clean_sheets,
    row_of,
    small_workbook,
)

LATER = {"sample-short", "extra-examination-due"}


def cells(content: bytes) -> dict[str, list[list[object]]]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    return {name: book.get_sheet_by_name(name).to_python() for name in book.sheet_names}


def differences(content: bytes) -> list[tuple[str, int, int]]:
    clean, other = cells(small_workbook()), cells(content)
    return [
        (sheet, down, across)
        for sheet, rows in clean.items()
        for down, row in enumerate(rows)
        for across, value in enumerate(row)
        if other[sheet][down][across] != value
    ]


def test_reads_back_the_cells_it_wrote() -> None:
    read = cells(small_workbook())
    written = clean_sheets()
    assert list(read) == list(written)
    assert read["Joints"][1] == ["" if value is None else value for value in written["Joints"][1]]
    assert len(read["Joints"]) == 7


def test_same_workbook_is_the_same_bytes() -> None:
    assert small_workbook() == small_workbook()


@pytest.mark.parametrize("code", FINDING_SWITCHES)
def test_a_switch_changes_exactly_one_cell(code: str) -> None:
    sheet, row, column, value = FINDING_SWITCHES[code]
    across = clean_sheets()[sheet][0].index(column)
    assert differences(small_workbook(change(sheet, row, column, value))) == [(sheet, row - 1, across)]


def test_every_code_that_exists_yet_has_its_switch() -> None:
    assert set(FINDING_SWITCHES) | set(SHOP_SWITCHES) == set(CODES) - LATER


def test_records_name_joints_of_the_list() -> None:
    sheets = clean_sheets()
    joints = {tuple(row[:3]) for row in sheets["Joints"][1:]}
    for name in ("Fit-ups", "Passes", "Examinations", "Repairs", "Releases"):
        assert {tuple(row[:3]) for row in sheets[name][1:]} <= joints
    assert {row[2] for row in sheets["Releases"][1:]} == {"1", "2", "3", "4", "5"}


def test_names_of_faults_are_unique_and_their_cells_stand_in_their_sheets() -> None:
    names = [fault.name for fault in FAULTS]
    assert len(set(names)) == len(names)
    for fault in FAULTS:
        assert fault.word
        assert bool(fault.cell) <= bool(fault.sheet)


def test_odd_names_survive_the_file() -> None:
    for harmless in HARMLESS:
        assert cells(harmless.content)["Welders"][1][1] == harmless.welder


def test_names_a_cell_as_the_spreadsheet_does() -> None:
    assert cell_of("Joints", row_of("Joints", joint="1"), "kind") == "D2"
    assert change("Joints", 2, "kind", "butt") == Change("Joints", 2, "kind", "butt")


def test_refuses_to_guess_between_rows() -> None:
    with pytest.raises(LookupError, match="2 rows"):
        row_of("Passes", joint="1")
