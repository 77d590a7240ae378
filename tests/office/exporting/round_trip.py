"""A job exported, imported where there is none, and exported again; and what the two had to say."""

import zipfile
from pathlib import Path
from typing import Any, NamedTuple

from django.db import transaction
from django.db.models import QuerySet
from python_calamine import CalamineWorkbook

from office.exporting.workbook import export_workbook
from office.importing.workbook import import_workbook
from records.canonical import plain
from records.models import RECORDS, Finding, Job, Joint, Package, Withdrawal
from records.models.base import ShopRecord
from records.models.decision import IN_SHOP
from records.shop_facts import standing_records

Cells = dict[str, list[list[Any]]]


class Told(NamedTuple):
    """What a job says: its workbook's cells, the state of its joints, its findings, and how many records it has."""

    cells: Cells
    joints: list[tuple[Any, ...]]
    findings: list[tuple[Any, ...]]
    counts: dict[str, int]


def cells_of(path: Path) -> Cells:
    """Every cell of a workbook, by sheet."""
    book = CalamineWorkbook.from_path(str(path))
    return {name: list(book.get_sheet_by_name(name).iter_rows()) for name in book.sheet_names}


def told(job: Job, path: Path) -> Told:
    """Export a job to a path and return what it says."""
    export_workbook(job, path)
    key = ("sheet__drawing", "sheet__number", "number")
    joints = Joint.objects.filter(job=job).order_by(*key)
    names = [name for name in Joint.DERIVED if name != "assigned"]
    findings = Finding.objects.filter(job=job).order_by(*(f"joint__{name}" for name in key), "id")
    # A finding names its record by the key of a row, which is another after an import.
    said = findings.values_list(
        *(f"joint__{name}" for name in key), "attempt", "code", "severity", "message", "source", "measured", "limit", "unit", "subject",
        "steps", "override__reason",
    )  # fmt: skip
    return Told(
        cells_of(path),
        [tuple(map(plain, row)) for row in joints.values_list(*key, "assigned__code", *names)],
        [tuple(map(plain, row)) for row in said],
        {model.__name__: exported(model, job).count() for model in RECORDS if model is not Package},
    )


def exported(model: Any, job: Job) -> QuerySet[Any]:
    """The records that a workbook holds: of the shop those that stand (docs/workbook.md)."""
    if issubclass(model, ShopRecord):
        return standing_records(model, job)
    rows: QuerySet[Any] = model.objects.filter(job=job)
    return rows.exclude(kind__in=IN_SHOP) if model is Withdrawal else rows


def rename_job(path: Path, target: Path, code: str, other: str) -> None:
    """Write a workbook with another code in its sheet Job, which is the first, and every other byte as it was."""
    with zipfile.ZipFile(path) as archive:
        parts = {entry.filename: archive.read(entry) for entry in archive.infolist()}
    sheet, cell = "xl/worksheets/sheet1.xml", "<t>{}</t>"
    assert parts[sheet].count(cell.format(code).encode()) == 1
    parts[sheet] = parts[sheet].replace(cell.format(code).encode(), cell.format(other).encode())
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


class Emptied(Exception):
    """Ends a transaction without a trace."""


def there_and_back(job: Job, folder: Path) -> tuple[Told, Told]:
    """Return what a job says, and what it says once it was imported where nothing was; everything is taken back."""
    before = told(job, folder / "there.xlsx")
    again = imported_where_nothing_is(job.code, folder / "there.xlsx", folder / "back.xlsx")
    return before, again


def imported_where_nothing_is(code: str, path: Path, back: Path) -> Told:
    """Import a workbook as the job of another code, which is put into its sheet Job, and return what that says."""
    other = f"{code}-2"
    renamed = path.with_name("renamed.xlsx")
    rename_job(path, renamed, code, other)
    found: list[Told] = []
    try:
        with transaction.atomic():
            outcome = import_workbook(renamed, other, by=None, may_create=True)
            assert outcome.faults == [], outcome.faults[:5]
            assert [one for one in outcome.notices if "column" in one or "sheet" in one] == []
            found.append(told(Job.objects.get(code=other), back))
            raise Emptied
    except Emptied:
        rename_job(back, back, other, code)
        return found[0]._replace(cells=cells_of(back))
