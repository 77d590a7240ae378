"""The command: what it prints, and how it ends."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from records.models import Job, Joint
from tests.builders import JobBuilder, MembershipBuilder, UserBuilder
from tests.office.workbooks import change, small_workbook

pytestmark = pytest.mark.django_db


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    path = tmp_path / "small.xlsx"
    path.write_bytes(small_workbook())
    return path


def test_prints_counts_and_the_journal_s_head(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_workbook", str(workbook), "--job", "J-1", "--create")
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["sheet", "new", "changed", "unchanged", "refused"]
    assert ["Joints", "6", "0", "0", "0"] in [line.split() for line in lines]
    assert lines[-1].startswith("Imported into J-1. Journal head ")


def test_says_so_where_nothing_changed(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_workbook", str(workbook), "--job", "J-1", "--create")
    call_command("import_workbook", str(workbook), "--job", "J-1")
    assert capsys.readouterr().out.splitlines()[-1] == "Nothing changed: J-1 says all of this already."


def test_ends_with_1_and_a_line_a_fault_on_stderr(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bad.xlsx"
    path.write_bytes(small_workbook(change("Joints", 2, "kind", "glued"), change("Joints", 3, "heat A", "H-404")))
    with pytest.raises(SystemExit) as ended:
        call_command("import_workbook", str(path), "--job", "J-1", "--create")
    assert ended.value.code == 1
    said = capsys.readouterr()
    assert [line.split(":")[0] for line in said.err.splitlines()] == ["Joints!D2", "Joints!H3"]
    assert ["Joints", "4", "0", "0", "2"] in [line.split() for line in said.out.splitlines()]
    assert not Job.objects.exists()


def test_a_check_writes_nothing(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("import_workbook", str(workbook), "--job", "J-1", "--create", "--check")
    assert "nothing was written" in capsys.readouterr().out
    assert not Job.objects.exists()


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["--job", "J-1"], 1, "add --create"),
        (["--job", "J-1", "--create", "--user", "nobody"], 2, "Nobody signs in as nobody"),
    ],
)
def test_wrong_use_ends_in_one_sentence(arguments: list[str], code: int, words: str, workbook: Path) -> None:
    with pytest.raises(CommandError, match=words) as refused:
        call_command("import_workbook", str(workbook), *arguments)
    assert refused.value.returncode == code


def test_a_file_that_is_not_there_is_wrong_use(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="no file") as refused:
        call_command("import_workbook", str(tmp_path / "absent.xlsx"), "--job", "J-1", "--create")
    assert refused.value.returncode == 2


def test_a_person_without_the_role_writes_nothing(workbook: Path) -> None:
    job = JobBuilder(code="J-1")
    fitter = UserBuilder(username="fitter")
    MembershipBuilder(job=job, user=fitter, role="welder")
    with pytest.raises(CommandError, match="may not change the plan") as refused:
        call_command("import_workbook", str(workbook), "--job", "J-1", "--user", "fitter")
    assert refused.value.returncode == 1
    assert not Joint.objects.exists()


def test_another_job_s_workbook_is_refused(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        call_command("import_workbook", str(workbook), "--job", "J-2", "--create")
    assert capsys.readouterr().err.startswith("Job!A2: the workbook is of job J-1")
