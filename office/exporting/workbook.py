"""Export a job as the workbook that the importer reads, with flat memory however large the job is."""

from itertools import chain
from pathlib import Path

from office.exporting.plan_rows import plan_rows
from office.exporting.record_rows import Joints, RecordRows
from office.exporting.shelf import Shelf
from office.exporting.shop_rows import shop_rows
from office.exporting.values import acceptable
from office.importing import record_sheets
from office.importing.columns import SheetForm
from office.importing.forms import FORMS
from records.models import Job, Joint
from records.paging import cut
from records.snapshot import snapshot
from records.work import Tell
from reports.spreadsheet import Book, Head, Page

BATCH = 2000
_KEYS = ("sort_key", "id")
# Its passes stand in Passes, where they lose nothing.
LEFT_OUT = (record_sheets.WELD_LOG.name,)


def export_workbook(job: Job, target: Path, *, tell: Tell | None = None) -> int:
    """Write a whole job as an .xlsx workbook, all of it of one moment; returns how many rows it has.

    One query a sheet of the plan and 2,000 rows, ten for each 2,000 joints.
    Raises TooLong where a sheet would have more rows than a spreadsheet holds
    """
    book = Book(target)
    pages = {form.name: book.sheet(form.name, heads(form)) for form in FORMS if form.name not in LEFT_OUT}
    try:
        with snapshot():
            _write(job, pages, tell)
    finally:
        book.close()
    return sum(page.rows for page in pages.values())


def heads(form: SheetForm) -> list[Head]:
    """The heads of a sheet: what names a row, or must be there, in bold."""
    return [Head(column.name, column.needed or column.name in form.identity) for column in form.columns]


def _write(job: Job, pages: dict[str, Page], tell: Tell | None) -> None:
    shelf = Shelf(job)
    for form, rows in chain(plan_rows(shelf), shop_rows(shelf)):
        if tell:
            tell(f"Writing {form.name}")
        for row in rows:
            pages[form.name].write(map(acceptable, row))
    records, done, total = RecordRows(shelf), 0, Joint.objects.filter(job=job).count()
    last: tuple[str, object] | None = None
    joints = Joint.objects.filter(job=job).values_list(*_KEYS, "sheet__drawing", "sheet__number", "number")
    while batch := cut(joints, _KEYS, after=last, before=None, most=BATCH).rows:
        named: Joints = {key: (drawing, sheet, number) for _, key, drawing, sheet, number in batch}
        for name, found in records.rows(named).items():
            for row in found:
                pages[name].write(map(acceptable, row))
        last, done = batch[-1][:2], done + len(batch)
        if tell:
            tell("Writing the records", done, total)
