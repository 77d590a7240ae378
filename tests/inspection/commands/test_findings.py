"""`findings` prints the open findings in three forms, of one joint, and as of another day."""

import csv
import io
import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from office.importing.workbook import import_workbook
from records.models import Finding, FitUp
from tests.office.workbooks import change, row_of, small_workbook

pytestmark = pytest.mark.django_db
KEYS = ["code", "joint", "attempt", "record", "severity", "measured", "limit", "unit", "source", "message"]


@pytest.fixture(autouse=True)
def job(tmp_path: Path) -> None:
    path = tmp_path / "small.xlsx"
    changes = change("Fit-ups", row_of("Fit-ups", joint="1"), "gap", "3/16"), change("Passes", 4, "amps", 180)
    path.write_bytes(small_workbook(*changes))
    assert import_workbook(path, "J-1", by=None, may_create=True).faults == []


def _told(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    call_command("findings", "--job", "J-1", *arguments)
    return capsys.readouterr().out


def test_json_is_one_list_with_every_key(capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(_told(capsys, "--format", "json"))
    assert [(one["code"], one["joint"]) for one in found] == [
        ("gap-out-of-range", "ISO-1/1/1"),
        ("pass-out-of-range", "ISO-1/1/2"),
    ]
    assert all(list(one) == KEYS for one in found)
    assert (found[0]["measured"], found[0]["limit"], found[0]["unit"]) == ("3/16", "1/8", "in")


def test_csv_has_the_same_columns(capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.DictReader(io.StringIO(_told(capsys, "--format", "csv"))))
    assert list(rows[0]) == KEYS and len(rows) == 2


def test_a_table_ends_with_the_count(capsys: pytest.CaptureFixture[str]) -> None:
    assert _told(capsys).splitlines()[-1] == "2 open findings"


@pytest.mark.parametrize("name", ["2", "ISO-1/1/2"])
def test_one_joint_by_number_or_by_its_whole_name(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = json.loads(_told(capsys, "--joint", name, "--format", "json"))
    assert [one["joint"] for one in found] == ["ISO-1/1/2"]


def test_as_of_another_day_judges_anew_and_stores_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    stored = set(Finding.objects.values_list("id", flat=True))
    found = json.loads(_told(capsys, "--as-of", "2026-09-05", "--format", "json"))
    assert {"gap-out-of-range", "pass-out-of-range"} <= {one["code"] for one in found}
    assert set(Finding.objects.values_list("id", flat=True)) == stored


def test_as_of_a_day_before_the_work_nothing_is_found(capsys: pytest.CaptureFixture[str]) -> None:
    days = {str(one) for one in FitUp.objects.values_list("done_on", flat=True)}
    before = str(date.fromisoformat(min(days)) - timedelta(1))
    assert json.loads(_told(capsys, "--as-of", before, "--format", "json")) == []
    now = json.loads(_told(capsys, "--format", "json"))
    assert sorted(map(str, json.loads(_told(capsys, "--as-of", "2027-01-01", "--format", "json")))) == sorted(
        map(str, now)
    )


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--job", "J-9"], 1, "no job"),
        (["--job", "J-1", "--joint", "99"], 1, "no joint"),
        (["--job", "J-1", "--as-of", "soon"], 2, "no date"),
    ],
)
def test_wrong_use_ends_in_one_sentence(arguments: list[str], code: int, words: str) -> None:
    with pytest.raises(CommandError, match=words) as refused:
        call_command("findings", *arguments)
    assert refused.value.returncode == code
