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
    of_job = Confirmation.objects.filter(job_id=changes.job.id)
    withdrawn = set(of_job.filter(is_withdrawn=True).values_list("replaces_id", flat=True))
    # Those withdrawn since are recorded all the same: the sheet that brought one does not bring it back.
    stored: dict[tuple[str, str, str], list[Confirmation]] = {}
    for one in of_job.filter(is_withdrawn=False).order_by("recorded_at"):
        stored.setdefault((one.table, one.row, one.edition), []).append(one)
    count, fresh = changes.count(table.sheet), []
    for draft, index in zip(make_drafts(Confirmation, len(rows), columns), rows, strict=True):
        before = stored.get((draft.table, draft.row, draft.edition), [])
        if any(all(getattr(draft, name) in ("", getattr(one, name)) for name in _COMPARED) for one in before):
            count.take("unchanged", index)
        elif all(one.id in withdrawn for one in before):
            fresh.append(draft)
            count.take("new", index)
        else:
            last = before[-1]
            table.fault(index, "table", f"already confirmed by {last.by} on {last.done_on}; {CHANGED_FACT}")
    return fresh
