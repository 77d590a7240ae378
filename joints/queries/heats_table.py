"""The heats as a table."""

from collections.abc import Iterator

from joints.queries.heats import COLUMNS, KEYS, heats_wanted, joints_by_heat, state_of
from records.models import Job
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell

_HEADS = heads("heat", "material", "manufacturer", "item", "size", "certificate", "certificate's file", "joints")


def heats_table(job: Job, *, search: str = "", missing: bool = False) -> ListTable:
    """Return the heats that match, by number; four queries for each 2,000."""
    return ListTable("heats", _HEADS, _rows(job, search, missing))


def _rows(job: Job, search: str, missing: bool) -> Iterator[list[Cell]]:
    for batch in in_batches(heats_wanted(job, search, missing), KEYS, COLUMNS):
        joints = joints_by_heat(job.id, {row[0]: row[1] for row in batch})
        for number, key, *of_heat, paper, name, file in batch:
            yield [number, *of_heat, name, state_of(paper, file), joints[key]]
