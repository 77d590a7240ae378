"""The weld log as a table: every joint that matches, with its own columns instead of words put together."""

from collections.abc import Iterator

from joints.queries.weld_log import KEYS, Wanted, joints_wanted, worst_findings
from records.models import Job
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell
from rules.size_words import size_figure, size_system

_COLUMNS = (
    "id", "sheet__drawing", "sheet__number", "number", "line__number", "spool__mark", "spool_b__mark", "kind", "nps",
    "schedule", "location", "state", "attempt", "progress", "next_step", "due", "stamps", "assigned__code", "welded_on",
    "accepted_on", "released_on",
)  # fmt: skip
_PLACE = ("drawing", "sheet", "joint", "line", "spool", "spool B", "kind")
_STANDING = (
    "schedule", "location", "state", "attempt", "progress (%)", "next step", "examinations due", "welded by",
    "assigned to", "welded", "accepted", "released", "worst finding", "finding",
)  # fmt: skip
_NPS = len(_PLACE)


def weld_log_table(job: Job, wanted: Wanted) -> ListTable:
    """Return the joints that match, in the order of the weld log; two queries for each 2,000.

    One more for each line, spool, stamp or heat that is named.
    """
    names = heads(*_PLACE, size_system(job.units), *_STANDING)
    return ListTable("weld log", names, _rows(job, wanted))


def _rows(job: Job, wanted: Wanted) -> Iterator[list[Cell]]:
    for batch in in_batches(joints_wanted(job, wanted), KEYS, _COLUMNS):
        worst = worst_findings([row[0] for row in batch])
        for key, *cells in batch:
            cells[_NPS] = size_figure(cells[_NPS], job.units)
            yield [*cells, *worst.get(key, (None, None))]
