"""The file given back with remarks: on each faulty cell of an .xlsx, styles and formulas as they were; else a list."""

import csv
import io

import pytest
from django.test import Client
from django.urls import reverse
from openpyxl import Workbook, load_workbook
from openpyxl.comments import Comment
from openpyxl.styles import Font

from records.models import Job, Work
from tests.office.importing.pages import sent

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("storage")]


def _own_file() -> bytes:
    """Heats with a faulty carbon, styled; a sheet of the person's own with a formula; an older remark; joined cells."""
    book = Workbook()
    heats = book.active
    heats.title = "Heats"
    for row in (["heat", "material", "C", "Mn"], ["H-5", "A106 B", "low", "much"], [None, "A106 B", 0.2, 0.9]):
        heats.append(row)
    heats["C2"].font = Font(bold=True, color="FF0000")
    heats["C2"].comment = Comment("Ask the mill", "Somebody")
    heats.merge_cells("A2:A3")
    own = book.create_sheet("My sums")
    own["A1"], own["A2"] = 2, "=A1*2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _back(desk: Client, job: Job, work: Work) -> tuple[str, bytes]:
    answer = desk.get(reverse("import-remarks", args=[job.code, work.id]))
    assert answer.status_code == 200 and answer["X-Content-Type-Options"] == "nosniff"
    return answer["Content-Disposition"], b"".join(answer.streaming_content)


def test_each_faulty_cell_has_its_remark_and_all_else_is_as_it_was(desk: Client, small_job: Job) -> None:
    work = sent(desk, small_job, _own_file(), "mill.xlsx")
    assert work.result["faults"] == 3
    said, content = _back(desk, small_job, work)
    assert said.startswith("attachment") and said.endswith('.xlsx"')
    book = load_workbook(io.BytesIO(content))
    heats = book["Heats"]
    assert '"low"' in heats["C2"].comment.text and heats["C2"].comment.text.endswith("Ask the mill")
    assert '"much"' in heats["D2"].comment.text
    assert "the heat is blank" in heats["A2"].comment.text
    assert heats["B2"].comment is None and heats["C3"].comment is None
    assert heats["C2"].font.bold and heats["C2"].value == "low" and heats["C3"].value == 0.2
    assert book["My sums"]["A2"].value == "=A1*2"


def test_any_other_file_comes_back_as_a_list(desk: Client, small_job: Job) -> None:
    work = sent(desk, small_job, b"heat,material,C\nH-5,A106 B,=low\n", "Heats.csv")
    said, content = _back(desk, small_job, work)
    rows = list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))
    assert said.endswith('.csv"') and rows[0] == ["sheet", "cell", "it says", "what is wrong"]
    assert rows[1][:2] == ["Heats", "C2"] and not rows[1][2].startswith("=")


def test_a_file_too_large_to_hold_comes_back_as_a_list(
    desk: Client, small_job: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("office.importing.remarks.MOST_UNPACKED", 10)
    said, _ = _back(desk, small_job, sent(desk, small_job, _own_file()))
    assert said.endswith('.csv"')
