"""The empty workbook: every sheet and column of the importer, with notes whose examples the importer takes."""

from datetime import date
from io import StringIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command
from openpyxl import load_workbook

from office.exporting.template import example, write_template
from office.importing.columns import Column, SheetForm
from office.importing.forms import FORMS
from office.importing.parsers import Setting
from office.importing.workbook import import_workbook
from records.models import Job, User
from tests.conftest import SignIn

COLUMNS = [(form, column) for form in FORMS for column in form.columns]


@pytest.fixture
def template(tmp_path: Path) -> Path:
    write_template(tmp_path / "template.xlsx", "US")
    return tmp_path / "template.xlsx"


def test_has_every_column_of_every_sheet_and_marks_those_that_are_needed(template: Path) -> None:
    book = load_workbook(template)
    assert book.sheetnames == [form.name for form in FORMS]
    for form in FORMS:
        for cell, column in zip(book[form.name][1], form.columns, strict=True):
            assert cell.value == (f"{column.name} (needed)" if column.needed else column.name)
            assert cell.font.b is column.needed
            assert "Accepted:" in cell.comment.text or "as its own sheet has it" in cell.comment.text, cell.value


@pytest.mark.parametrize(("form", "column"), COLUMNS, ids=lambda one: one.name)
def test_the_example_of_each_column_is_taken(form: SheetForm, column: Column) -> None:
    said = example(form, column)
    assert said
    setting = Setting(units="US", zone=ZoneInfo("UTC"), today=date(2026, 11, 30))
    value = column.parse(said, setting)
    assert not (column.check and column.check(value, setting))


@pytest.mark.django_db
def test_as_it_is_it_imports_without_a_word(template: Path) -> None:
    outcome = import_workbook(template, "J-1", by=None, may_create=True, only_check=True)
    assert (outcome.faults, outcome.notices) == ([], [])


def test_says_what_a_bare_number_means_in_the_units_of_the_job(tmp_path: Path) -> None:
    for units, word in (("US", "a bare number is in inch"), ("SI", "a bare number is in mm")):
        call_command("template_workbook", "--output", str(tmp_path / "t.xlsx"), "--units", units, stdout=StringIO())
        gap = load_workbook(tmp_path / "t.xlsx")["Fit-ups"]["G1"]
        assert gap.value == "gap (needed)" and word in gap.comment.text


def test_a_wrong_ending_is_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="must end in .xlsx") as refused:
        call_command("template_workbook", "--output", str(tmp_path / "t.ods"))
    assert refused.value.returncode == 2


@pytest.mark.django_db
def test_the_papers_page_offers_it(job: Job, engineer: User, sign_in: SignIn, tmp_path: Path) -> None:
    browser = sign_in(engineer)
    assert "/jobs/HW-7/papers/template.xlsx" in browser.get("/jobs/HW-7/papers/").content.decode()
    answer = browser.get("/jobs/HW-7/papers/template.xlsx")
    (tmp_path / "sent.xlsx").write_bytes(b"".join(answer.streaming_content))  # type: ignore[attr-defined]
    assert "Fit-ups" in load_workbook(tmp_path / "sent.xlsx").sheetnames
