"""Tables as .xlsx and .csv: every text comes back to the letter, none of them is a formula."""

import csv
import io
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook
from python_calamine import CalamineWorkbook

from reports import spreadsheet
from reports.spreadsheet import MOST_SIGNS, Book, Head, TooLong, csv_lines, write_xlsx

TEXTS = (
    "=1+1", "+1", "-1", "@SUM(A1)", "{=A1}", "'quoted", 'say "so"', "שלום\u202eabc", "one\ntwo", "_x0041_", "<&>", "😀",
    "http://invented.example/", "1/8", "0012", "x" * MOST_SIGNS,
)  # fmt: skip


def test_every_text_comes_back_to_the_letter(tmp_path: Path) -> None:
    write_xlsx(tmp_path / "a.xlsx", "A", [Head("text")], ([text] for text in TEXTS))
    rows = CalamineWorkbook.from_path(str(tmp_path / "a.xlsx")).get_sheet_by_name("A").to_python()
    assert [row[0] for row in rows[1:]] == list(TEXTS)


def test_no_text_is_a_formula_or_a_link(tmp_path: Path) -> None:
    write_xlsx(tmp_path / "a.xlsx", "A", [Head("text")], ([text] for text in TEXTS))
    cells = [row[0] for row in load_workbook(tmp_path / "a.xlsx")["A"].iter_rows(min_row=2)]
    assert {cell.data_type for cell in cells} == {"s"}
    assert not any(cell.hyperlink for cell in cells)


def test_what_is_too_long_is_cut_and_says_so(tmp_path: Path) -> None:
    write_xlsx(tmp_path / "a.xlsx", "A", [Head("text")], [["y" * 40_000], ["a\x0bb"]])
    rows = CalamineWorkbook.from_path(str(tmp_path / "a.xlsx")).get_sheet_by_name("A").to_python()
    assert len(rows[1][0]) == MOST_SIGNS and rows[1][0].endswith("… (cut)")
    assert rows[2][0] == "a b"


def test_times_of_a_day_come_back_to_the_second(tmp_path: Path) -> None:
    moments = [datetime(2026, 9, 1) + timedelta(seconds=second) for second in range(1, 86_400, 977)]  # noqa: DTZ001
    write_xlsx(tmp_path / "a.xlsx", "A", [Head("time"), Head("day")], ([one, date(2026, 9, 1)] for one in moments))
    rows = CalamineWorkbook.from_path(str(tmp_path / "a.xlsx")).get_sheet_by_name("A").to_python()
    assert [row[0] for row in rows[1:]] == moments
    assert {row[1] for row in rows[1:]} == {date(2026, 9, 1)}


def test_rows_of_two_sheets_may_be_written_in_turns(tmp_path: Path) -> None:
    book = Book(tmp_path / "a.xlsx")
    pages = [book.sheet(name, [Head(name)]) for name in ("A", "B")]
    for number in range(100):
        for page in pages:
            page.write([number])
    book.close()
    for name in ("A", "B"):
        rows = CalamineWorkbook.from_path(str(tmp_path / "a.xlsx")).get_sheet_by_name(name).to_python()
        assert [row[0] for row in rows] == [name, *range(100)]


def test_a_sheet_that_is_full_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 3)
    with pytest.raises(TooLong, match="The sheet A would have more than 3 rows"):
        write_xlsx(tmp_path / "a.xlsx", "A", [Head("n")], ([number] for number in range(3)))


def test_csv_has_the_mark_of_utf_8_and_guards_what_looks_like_a_formula() -> None:
    rows = [["=1+1", "-1", -29, Decimal("1.50"), None], ["a,b", "two\nlines", date(2026, 9, 1), "＝1", 'say "so"']]
    content = b"".join(csv_lines([Head(name) for name in "abcde"], rows))
    assert content.startswith(b"\xef\xbb\xbfa,b,c,d,e\r\n")
    read = list(csv.reader(io.StringIO(content.decode("utf-8-sig"), newline="")))
    assert read[1] == ["'=1+1", "'-1", "-29", "1.50", ""]
    assert read[2] == ["a,b", "two\nlines", "2026-09-01", "'＝1", 'say "so"']


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("x;=1+1;y", "x;'=1+1;y"),
        ("x\t@SUM(A1)", "x\t'@SUM(A1)"),
        ("x\n-2+cmd", "x\n'-2+cmd"),
        ("; +1", "; '+1"),
        ("seen:\n- a pore\n- slag", "seen:\n- a pore\n- slag"),
        ("5 mm; 3 mm", "5 mm; 3 mm"),
    ],
)
def test_nothing_in_a_csv_is_a_formula_where_lists_are_separated_otherwise(text: str, kept: str) -> None:
    *_, line = csv_lines([Head("a"), Head("b")], [["1", text]])
    assert list(csv.reader(io.StringIO(line.decode(), newline="")))[0] == ["1", kept]
