"""Shares as percent: typed, in a percent format, under a heading that says so; a bare number up to 1 may be either."""

import io
from pathlib import Path

import pytest
import xlsxwriter

from office.importing.number_formats import misleading
from office.importing.workbook import Outcome, import_workbook
from records.models import ExamRule
from tests.office.importing.books import CODE
from tests.office.workbooks import small_workbook

pytestmark = pytest.mark.django_db
_HEADS = ["plan", "joint kind", "method"]


def _imported(folder: Path, name: str, content: bytes) -> Outcome:
    (folder / "small.xlsx").write_bytes(small_workbook())
    import_workbook(folder / "small.xlsx", CODE, by=None, may_create=True)
    (folder / name).write_bytes(content)
    return import_workbook(folder / name, CODE, by=None)


def _book(share: float, number_format: str, heading: str = "share") -> bytes:
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = made.add_worksheet("Exam plans")
    sheet.write_row(0, 0, [*_HEADS, heading])
    sheet.write_row(1, 0, ["P-9", "butt", "RT"])
    sheet.write_number(1, 3, share, made.add_format({"num_format": number_format}))
    made.close()
    return out.getvalue()


# Common practice, no source: a spreadsheet makes 0.05 in a percent format of a typed 5 %, and shows 5 %.
@pytest.mark.parametrize(
    ("share", "number_format", "percent"),
    [(0.05, "0%", "5"), (1, "0%", "100"), (0.07, "0.00%", "7"), (0.125, "0.0 %", "12.5"), (0.005, "0.0%", "0.5")],
)
def test_a_number_in_a_percent_format_is_read_as_it_is_shown(
    share: float, number_format: str, percent: str, tmp_path: Path
) -> None:
    outcome = _imported(tmp_path, "p.xlsx", _book(share, number_format))
    assert outcome.faults == []
    assert f"{ExamRule.objects.get(plan__name='P-9').share_percent.normalize():f}" == percent


# As spreadsheets write a typed 7 % and 0.005 %; common practice, no source.
@pytest.mark.parametrize(
    ("written", "shown"), [("7.0000000000000007E-2", "7 %"), ("5E-05", "0.005 %"), ("1E+1", "1000 %")]
)
def test_a_number_may_be_written_with_an_exponent(written: str, shown: str) -> None:
    cell = f'<c r="D2" s="1"><v>{written}</v></c>'.encode()
    assert list(misleading(cell, {b"1": "0%"})) == [(b"D", 2, shown)]


@pytest.mark.parametrize("typed", ["1", "0.05", "1.0"])
def test_a_bare_number_up_to_one_is_refused_in_a_table_of_texts_too(typed: str, tmp_path: Path) -> None:
    content = f"plan,joint kind,method,share\nP-9,butt,RT,{typed}\n".encode()
    outcome = _imported(tmp_path, "Exam plans.csv", content)
    assert [fault.split(":")[0] for fault in outcome.faults] == ["Exam plans!D2"]
    assert "can be read as a share or as percent" in outcome.faults[0]


@pytest.mark.parametrize(("typed", "percent"), [("1 %", 1), ("0.5%", 0.5), ("5", 5), ("100", 100)])
def test_what_can_be_read_one_way_only_is_taken(typed: str, percent: float, tmp_path: Path) -> None:
    outcome = _imported(tmp_path, "Exam plans.csv", f"plan,joint kind,method,share\nP-9,butt,RT,{typed}\n".encode())
    assert outcome.faults == [] and float(ExamRule.objects.get(plan__name="P-9").share_percent) == percent


def test_a_measure_in_a_percent_format_is_no_measure(tmp_path: Path) -> None:
    book = _book(0.05, "0%", "lot size")
    outcome = _imported(tmp_path, "p.xlsx", book)
    assert any(fault.startswith("Exam plans!") for fault in outcome.faults)
