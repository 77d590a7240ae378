"""The limits of the owner's specification, each by its limit and the joints that it speaks of."""

from decimal import Decimal

from office.importing import plan_sheets as forms
from office.importing.changes import Changes, matched
from office.importing.tables import Table
from records.models import Job, OwnerLimit
from rules.specification import parse_limit
from rules.units import UnitError


def take_specification(table: Table | None, job: Job, changes: Changes) -> None:
    """Put the rows of the sheet; a figure that can be no such limit is at fault."""
    if table is None:
        return
    figures = _figures(table, job.units)
    narrowing = table.keys(("joint kind", "fluid service"))
    keys = [
        (name, kind or "", service or "")
        for name, (kind, service) in zip(table.column("limit"), narrowing, strict=True)
    ]
    rows = OwnerLimit.objects.filter(job_id=job.id)
    stored = ((row, (row.limit, row.joint_kind, row.service), ()) for row in rows)
    there = matched(table, keys, [()] * len(table), stored)
    columns = [
        (column.field, table.values[column.name])
        for column in forms.SPECIFICATION.columns
        if column.field and column.name in table.values
    ]
    for index in table.sound_rows():
        values = {field: cells[index] for field, cells in columns if cells[index] is not None}
        values |= {"value": figures[index], "typed": table.column("figure")[index][:40]}
        changes.put(table, index, there[index], values, OwnerLimit)


def _figures(table: Table, units: str) -> list[Decimal | None]:
    found: list[Decimal | None] = [None] * len(table)
    for index, (name, typed) in enumerate(table.keys(("limit", "figure"))):
        if name is not None and typed is not None:
            try:
                found[index] = parse_limit(name, typed, units)
            except UnitError as error:
                table.fault(index, "figure", str(error).rstrip("."))
    return found
