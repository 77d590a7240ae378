"""Confirmations of tables, taken once each."""

from typing import Any

from office.importing.changes import Changes
from office.importing.drafts import CHANGED_FACT, make_drafts
from office.importing.faults import Faults, nearest
from office.importing.tables import Table
from records.models import Confirmation
from rules.tables import table_names

_COMPARED = ("done_on", "by", "remark")


def take_confirmations(table: Table | None, changes: Changes, faults: Faults) -> list[Any]:
    """Return drafts of the confirmations that are not recorded yet; one of an unknown table is noticed."""
    if table is None or not len(table):
        return []
    for name in dict.fromkeys(table.column("table")):
        if name and name not in table_names():
            faults.notice(
                f"{table.sheet}: no table is named {name}, so this confirms nothing; {nearest(name, table_names())}"
            )
    rows = list(table.sound_rows())
    columns = {
        column.field: [table.values[column.name][index] for index in rows]
        for column in table.form.columns
        if column.name in table.values
    }
    stored = {
        (one.table, one.row, one.edition): one
        for one in Confirmation.objects.filter(job_id=changes.job.id, replaced_by__isnull=True)
    }
    count, fresh = changes.count(table.sheet), []
    for draft, index in zip(make_drafts(Confirmation, len(rows), columns), rows, strict=True):
        before = stored.get((draft.table, draft.row, draft.edition))
        if before is None:
            fresh.append(draft)
            count.new += 1
        elif all(getattr(draft, name) in ("", getattr(before, name)) for name in _COMPARED):
            count.unchanged += 1
        else:
            table.fault(index, "table", f"already confirmed by {before.by} on {before.done_on}; {CHANGED_FACT}")
    return fresh
