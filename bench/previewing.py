"""Measure what is waited for at a large import: its preview; then that it wrote what was shown, and once only."""

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

from bench import child, workbook
from bench.measuring import Measure
from records.models import FitUp, Job, Joint, JournalEntry, Pass

JOINTS, LINES = 50_000, 500
MOST_SECONDS, MOST_MB = 60, 500


def measures() -> Iterator[Measure]:
    """Preview, write and preview again a job of joints with their history."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.xlsx"
        workbook.write(file, joints=JOINTS, lines=LINES)
        shown, ran = _run(file, Path(folder) / "shown.json", "--check")
        if Job.objects.filter(code=workbook.CODE).exists():
            raise AssertionError("a preview wrote something")
        yield _measure("preview", round(ran.wall, 1), "s", MOST_SECONDS)
        yield _measure("preview-memory", round(ran.peak_mb), "MB", MOST_MB)
        written, wrote = _run(file, Path(folder) / "written.json")
        if written != shown:
            raise AssertionError(f"the import wrote {written}, and its preview showed {shown}")
        yield Measure(name="commit", value=round(wrote.wall, 1), unit="s", rows=JOINTS)
        yield _measure("commit-memory", round(wrote.peak_mb), "MB", MOST_MB)
        _prove()
        entries = JournalEntry.objects.count()
        again, same = _run(file, Path(folder) / "again.json")
        if again["changed"] or any(one["new"] or one["changed"] for one in again["sheets"].values()):
            raise AssertionError(f"the same workbook again is not the same: {again}")
        if JournalEntry.objects.count() != entries:
            raise AssertionError("the same workbook again wrote something")
        yield _measure("import-again", round(same.wall, 1), "s", MOST_SECONDS)


def _run(file: Path, told: Path, *more: str) -> tuple[dict, child.Ran]:  # type: ignore[type-arg]
    ran = child.run(["-m", "bench.import_once", str(file), workbook.CODE, f"--tell={told}", *more])
    return json.loads(told.read_text(encoding="utf-8")), ran


def _measure(name: str, value: float, unit: str, most: int) -> Measure:
    return Measure(name=name, value=value, unit=unit, rows=JOINTS, target=f"under {most} {unit}", met=value < most)


def _prove() -> None:
    """The job holds each joint with its fit-up and its three passes."""
    found = tuple(model.objects.filter(job__code=workbook.CODE).count() for model in (Joint, FitUp, Pass))
    if found != (JOINTS, JOINTS, 3 * JOINTS):
        raise AssertionError(f"{found} joints, fit-ups and passes are not what the workbook tells of")
