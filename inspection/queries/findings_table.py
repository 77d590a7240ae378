"""The findings as a table, with their arithmetic, and the override where one covers them."""

from collections.abc import Iterator

from inspection.queries.open_findings import FindingsWanted, findings_wanted
from records.models import Job
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell

_COLUMNS = (
    "severity", "joint__sheet__drawing", "joint__sheet__number", "joint__number", "joint__line__number", "attempt",
    "owner", "since", "message", "measured", "limit", "unit", "source", "steps", "override__reason", "override__by",
    "override__done_on",
)  # fmt: skip
_HEADS = heads(
    "finding", "severity", "drawing", "sheet", "joint", "line", "attempt", "acts", "since", "says", "measured",
    "limit", "unit", "source", "arithmetic", "overridden because", "overridden by", "overridden on",
)  # fmt: skip


def findings_table(job: Job, wanted: FindingsWanted) -> ListTable:
    """Return the findings that match, the weightiest first; one query for each 2,000, one more for a line."""
    return ListTable("overridden findings" if wanted.overridden else "findings", _HEADS, _rows(job, wanted))


def _rows(job: Job, wanted: FindingsWanted) -> Iterator[list[Cell]]:
    for batch in in_batches(findings_wanted(job, wanted), wanted.keys, ("code", *_COLUMNS)):
        for *told, steps, reason, by, day in batch:
            yield [*told, "\n".join(steps), reason, by, day]
