"""Measure the import of a large workbook as whole commands, from the start of Python to its end.

The floor is what any Python program needs at the least: every cell read with calamine, and the same rows copied into
empty tables with the same indexes and checks, but without foreign keys, triggers, findings and journal.
"""

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.db import connection, models
from psycopg.types.json import Jsonb
from python_calamine import CalamineWorkbook

from bench import child, stored, workbook
from bench.child import Ran
from bench.measuring import Measure, Time, timed
from records.models import MASTERS, Finding, FitUp, Job, Pass

JOINTS, LINES = 20_000, 200
TARGET, MOST_TIMES, MOST_MB = 2_000, 5, 500


def measures() -> Iterator[Measure]:
    """Import with findings and without, and the memory that the former held at most."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.xlsx"
        workbook.write(file, joints=JOINTS, lines=LINES)
        bare = child.run(["-m", "bench.import_once", str(file), workbook.CODE, "--no-findings"])
        floor = _floor(file, Job.objects.get(code=workbook.CODE))
        # The workbook names its job; under another name this one is out of the way of the next.
        Job.objects.filter(code=workbook.CODE).update(code="BARE")
        whole = child.run(["manage.py", "import_workbook", str(file), "--job", workbook.CODE, "--create"])
    _prove()
    rate = JOINTS / whole.wall
    yield _measure("import", whole, floor, f"at least {TARGET:,} joints/s", rate >= TARGET)
    times = bare.wall / floor.wall
    yield _measure("import-without-findings", bare, floor, f"at most {MOST_TIMES} x the floor", times <= MOST_TIMES)
    yield Measure(
        name="import-memory",
        value=round(whole.peak_mb),
        unit="MB",
        rows=JOINTS,
        target=f"under {MOST_MB} MB",
        met=whole.peak_mb < MOST_MB,
    )


def _measure(name: str, ran: Ran, floor: Time, target: str, met: bool) -> Measure:
    return Measure(
        name=name,
        value=round(JOINTS / ran.wall),
        unit="joints/s",
        rows=JOINTS,
        floor=round(JOINTS / floor.wall),
        ratio=round(ran.wall / floor.wall, 2),
        target=target,
        met=met,
        cpu=round(ran.cpu, 2),
    )


def _floor(file: Path, job: Job) -> Time:
    """Read every cell, and copy every row of the job into clones of its tables."""
    tables = [(model, _rows(model, job)) for model in (*MASTERS, FitUp, Pass)]
    with connection.cursor() as cursor:
        for model, _ in tables:
            table = model._meta.db_table
            cursor.execute(f"CREATE TEMPORARY TABLE clone_{table} (LIKE {table} INCLUDING ALL)")

    def least() -> None:
        _read(file)
        for model, rows in tables:
            _copy(model, rows)

    return timed(least)


def _rows(model: type[models.Model], job: Job) -> list[list[Any]]:
    jsons = [place for place, one in enumerate(model._meta.concrete_fields) if isinstance(one, models.JSONField)]
    rows = [list(row) for row in model._default_manager.filter(job=job).values_list()]
    for row in rows:
        for place in jsons:
            row[place] = Jsonb(row[place])
    return rows


def _read(file: Path) -> None:
    book = CalamineWorkbook.from_path(file)
    for name in book.sheet_names:
        for _ in book.get_sheet_by_name(name).iter_rows():
            pass


def _copy(model: type[models.Model], rows: list[list[Any]]) -> None:
    names = ", ".join(f'"{one.column}"' for one in model._meta.concrete_fields)
    command = f"COPY clone_{model._meta.db_table} ({names}) FROM STDIN"
    with connection.cursor() as cursor, cursor.copy(command) as copy:
        for row in rows:
            copy.write_row(row)


def _prove() -> None:
    """The import brought in what the story tells, problems and all."""
    job = Job.objects.get(code=workbook.CODE)
    welded = Pass.objects.filter(job=job).count()
    sick = Finding.objects.filter(job=job).values("joint_id").distinct().count()
    if (welded, sick) != (3 * JOINTS, stored.problems(JOINTS)):
        raise AssertionError(f"{welded} passes and {sick} joints with findings are not what the workbook tells of")
