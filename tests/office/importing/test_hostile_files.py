"""Files that would fill the memory, or are not what they say, are refused before they are read."""

import zipfile
from pathlib import Path

import pytest
from django.test import Client

from office.importing.workbook import import_workbook
from records.models import Job
from tests.office.importing.books import CODE, write_ods_content
from tests.office.importing.pages import page_of, sent
from tests.office.workbooks import as_xlsx, change, changed_sheets, clean_sheets

pytestmark = pytest.mark.django_db


def _refusal(path: Path) -> str:
    [fault] = import_workbook(path, CODE, by=None, may_create=True).faults
    assert not Job.objects.exists()
    return fault


def _with_rows(path: Path, rows: bytes) -> Path:
    """A workbook whose Joints sheet holds these rows instead of its own."""
    source = path.with_name("source.xlsx")
    source.write_bytes(as_xlsx({"Joints": clean_sheets()["Joints"]}))
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            text = old.read(entry)
            if entry.filename == "xl/worksheets/sheet1.xml":
                start, end = text.index(b"<sheetData>"), text.index(b"</sheetData>")
                text = text[: start + len(b"<sheetData>")] + rows + text[end:]
            new.writestr(entry.filename, text)
    return path


def test_refuses_a_file_over_100_mb_unread(tmp_path: Path) -> None:
    path = tmp_path / "large.xlsx"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    assert "200 MB" in _refusal(path)


def test_refuses_an_archive_that_unpacks_to_gigabytes(tmp_path: Path) -> None:
    path = tmp_path / "bomb.xlsx"
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
        archive.open("xl/a.xml", "w") as entry,
    ):
        for _ in range(1100):
            entry.write(bytes(1_000_000))
    assert path.stat().st_size < 10_000_000
    assert "unpacks to more than" in _refusal(path)


def test_refuses_cells_in_the_last_row_and_the_last_column(tmp_path: Path) -> None:
    far = b'<row r="1"><c r="XFD1"><v>1</v></c></row><row r="1048576"><c r="A1048576"><v>1</v></c></row>'
    assert "30 million cells" in _refusal(_with_rows(tmp_path / "far.xlsx", far))


def test_refuses_far_cells_that_do_not_say_where_they_are(tmp_path: Path) -> None:
    unplaced = b"<row>" + b"<c><v>1</v></c>" * 40 + b'</row><row r="1048576"><c><v>1</v></c></row>'
    assert "30 million cells" in _refusal(_with_rows(tmp_path / "unplaced.xlsx", unplaced))


def test_takes_a_single_stray_cell_far_below(tmp_path: Path) -> None:
    stray = b'<row r="1"><c r="A1"><v>1</v></c></row><row r="100001"><c r="AB100001"><v>1</v></c></row>'
    outcome = import_workbook(_with_rows(tmp_path / "stray.xlsx", stray), CODE, by=None, may_create=True)
    assert not any("million" in fault for fault in outcome.faults)


def test_refuses_an_ods_of_repeated_cells(tmp_path: Path) -> None:
    cell = '<table:table-cell office:value-type="string" table:number-columns-repeated="16384"><text:p>x</text:p></table:table-cell>'
    table = (
        f'<table:table table:name="Joints"><table:table-row table:number-rows-repeated="1048576">{cell}</table:table-row>'
        "</table:table>"
    )
    assert "30 million cells" in _refusal(write_ods_content(table, tmp_path / "many.ods"))


def test_takes_the_blank_rows_that_spreadsheet_programs_repeat(tmp_path: Path) -> None:
    blank = (
        '<table:table table:name="Notes"><table:table-row table:number-rows-repeated="1048576">'
        '<table:table-cell table:number-columns-repeated="16384"/></table:table-row></table:table>'
        '<table:table table:name="Examiners"><table:table-row>'
        '<table:table-cell office:value-type="string"><text:p>name</text:p></table:table-cell></table:table-row></table:table>'
    )
    outcome = import_workbook(write_ods_content(blank, tmp_path / "blank.ods"), CODE, by=None, may_create=True)
    assert not any("million" in fault for fault in outcome.faults)


def test_refuses_a_workbook_without_any_known_sheet(tmp_path: Path) -> None:
    path = tmp_path / "other.xlsx"
    path.write_bytes(as_xlsx({"Prices": [["item", "price"], ["pipe", 3]]}))
    assert "holds no sheet of a job workbook" in _refusal(path)


def test_refuses_a_part_whose_sum_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "damaged.xlsx"
    whole = bytearray(as_xlsx({"Joints": clean_sheets()["Joints"]}))
    place = whole.index(b"xl/worksheets/sheet1.xml") + 60
    whole[place : place + 20] = bytes(20)
    path.write_bytes(bytes(whole))
    assert "damaged" in _refusal(path)


def test_refuses_an_empty_folder(tmp_path: Path) -> None:
    folder = tmp_path / "nothing"
    folder.mkdir()
    assert "without a .csv file" in _refusal(folder)


def test_refuses_a_workbook_locked_with_a_password(tmp_path: Path) -> None:
    path = tmp_path / "locked.xlsx"
    path.write_bytes(bytes.fromhex("d0cf11e0a1b11ae1") + bytes(2000))
    assert "password" in _refusal(path)


def _shown(desk: Client, job: Job, content: bytes) -> str:
    """What the page says of a workbook that was sent in."""
    return str(desk.get(page_of(sent(desk, job, content, "plan.xlsx"))).text)


def test_a_formula_is_a_text_of_its_result_and_never_computed(desk: Client, small_job: Job) -> None:
    for formula in ("=cmd|' /C calc'!A0", '=HYPERLINK("http://127.0.0.1/")', "=WEBSERVICE(A1)"):
        sheets = changed_sheets([change("Welders", 2, "name", formula)])
        assert "Welders!" in _shown(desk, small_job, as_xlsx(sheets))


def test_a_workbook_with_a_page_stuck_to_it_is_only_ever_a_workbook(desk: Client, small_job: Job) -> None:
    stuck = b"<html><script>alert(1)</script>" + as_xlsx({"Heats": clean_sheets()["Heats"]})
    assert "<script>alert" not in _shown(desk, small_job, stuck)
