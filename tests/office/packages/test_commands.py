"""The commands that write papers: what they write, and the sentence and exit code where they can't."""

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from django.core.management import CommandError, call_command

from records.models import JournalEntry, Membership, Package, User
from records.site_account import site_account
from records.verify import first_bad
from tests.records.scene import Scene


@pytest.fixture(autouse=True)
def nobody_else(settings: Any) -> None:
    settings.WORK_THREAD = "tests.office.packages.test_worker.leave_it"


@pytest.fixture
def scene(db: None, make_scene: Callable[[], Scene]) -> Scene:
    """One for each test: others of this module have a database of their own."""
    return make_scene()


def words_in(path: Path) -> str:
    document = pypdfium2.PdfDocument(path)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def test_writes_the_weld_map_of_a_line_as_pdf(scene: Scene, tmp_path: Path) -> None:
    call_command("weld_map", "--job", "J-1", "--line", "1-GL-2001", "--output", str(tmp_path / "map.pdf"))
    words = words_in(tmp_path / "map.pdf")
    assert "Weld map" in words and "ISO-2001" in words and "SP-1" in words


def test_writes_the_weld_map_of_a_drawing_as_svg(scene: Scene, tmp_path: Path) -> None:
    call_command("weld_map", "--job", "J-1", "--drawing", "ISO-2001", "--output", str(tmp_path / "map.svg"))
    text = (tmp_path / "map.svg").read_text()
    assert text.startswith("<svg") and "ISO-2001" in text and "style=" not in text


@pytest.mark.parametrize(
    ("given", "code", "sentence"),
    [
        (["--job", "NO-1", "--line", "1-GL-2001", "--output", "map.pdf"], 1, "There is no job NO-1."),
        (["--job", "J-1", "--line", "NO-LINE", "--output", "map.pdf"], 1, "Job J-1 has no line NO-LINE."),
        (
            ["--job", "J-1", "--drawing", "NO-DRAWING", "--output", "map.pdf"],
            1,
            "has no drawing NO-DRAWING with joints",
        ),
        (["--job", "J-1", "--line", "1-GL-2001", "--output", "map.png"], 2, "must end in .pdf or .svg"),
        (["--job", "J-1", "--line", "1-GL-2001", "--output", "/nowhere/map.pdf"], 1, "can't be written"),
    ],
)
def test_refuses_a_weld_map_in_one_sentence(scene: Scene, given: list[str], code: int, sentence: str) -> None:
    with pytest.raises(CommandError, match=sentence) as refused:
        call_command("weld_map", *given)
    assert refused.value.returncode == code


@pytest.mark.usefixtures("own_database")
def test_writes_a_package_whose_manifest_holds(make_scene: Callable[[], Scene], tmp_path: Path) -> None:
    scene = make_scene()
    before = Package.objects.count()
    call_command("build_package", "--job", "J-1", "--output", str(tmp_path / "out"))
    assert Package.objects.count() == before + 1
    folder = tmp_path / "out"
    sums = [line.split("  ") for line in (folder / "manifest.txt").read_text().splitlines() if not line.startswith("#")]
    assert [name for _, name in sums] == ["J-1-job-package.pdf", "certificates/MC-77.pdf"]
    for digest, name in sums:
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    assert first_bad(scene.job) is None


@pytest.mark.usefixtures("own_database")
def test_writes_the_package_of_one_line(make_scene: Callable[[], Scene], tmp_path: Path) -> None:
    make_scene()
    call_command("build_package", "--job", "J-1", "--line", "1-GL-2001", "--output", str(tmp_path))
    assert "line 1-GL-2001" in words_in(tmp_path / "J-1-line-1-GL-2001-package.pdf")


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (["--job", "NO-1"], "There is no job NO-1."),
        (["--job", "J-1", "--line", "NO-LINE"], "Job J-1 has no line NO-LINE."),
        (["--job", "J-1", "--spool", "NO-SPOOL"], "Job J-1 has no spool NO-SPOOL."),
        (["--job", "J-1", "--line", ""], "Job J-1 has no line ."),
    ],
)
def test_refuses_a_package_in_one_sentence(scene: Scene, tmp_path: Path, given: list[str], sentence: str) -> None:
    with pytest.raises(CommandError, match=sentence) as refused:
        call_command("build_package", *given, "--output", str(tmp_path / "out"))
    assert refused.value.returncode == 1


def test_refuses_a_folder_that_is_a_file(scene: Scene, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("in the way")
    with pytest.raises(CommandError, match="can't be written") as refused:
        call_command("build_package", "--job", "J-1", "--output", str(tmp_path / "out"))
    assert refused.value.returncode == 1


def test_the_sites_own_account_joins_a_job_once_and_in_the_journal(scene: Scene) -> None:
    before = JournalEntry.objects.filter(job=scene.job).count()
    account = site_account(scene.job)
    assert site_account(scene.job) == account
    assert Membership.objects.filter(job=scene.job, user=account).count() == 1
    assert JournalEntry.objects.filter(job=scene.job).count() == before + 1
    assert not User.objects.get(username=account.username).has_usable_password()
    assert first_bad(scene.job) is None
