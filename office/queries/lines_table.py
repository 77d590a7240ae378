"""The lines as a table."""

from collections.abc import Iterator

from office.queries.lines import KEYS, joints_by_line, lines_wanted
from records.models import Job
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell
from rules.size_words import size_figure, size_system

_COLUMNS = (
    "id",
    "number",
    "service",
    "fluid_service",
    "nps",
    "schedule",
    "material",
    "piping_class",
    "exam_plan__name",
)


def lines_table(job: Job, *, search: str = "") -> ListTable:
    """Return the lines that match, by number; two queries for each 2,000."""
    names = heads(
        "line", "service", "fluid service", size_system(job.units), "schedule", "material", "piping class",
        "exam plan", "joints",
    )  # fmt: skip
    return ListTable("lines", names, _rows(job, search))


def _rows(job: Job, search: str) -> Iterator[list[Cell]]:
    for batch in in_batches(lines_wanted(job, search), KEYS, _COLUMNS):
        joints = joints_by_line([row[0] for row in batch])
        for key, line, service, fluid, nps, *cells in batch:
            yield [line, service, fluid, size_figure(nps, job.units), *cells, joints.get(key, 0)]
