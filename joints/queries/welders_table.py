"""The register of welders as a table, one row a qualification."""

from collections.abc import Iterator

from joints.queries.welders import KEYS, WelderShown, stamps_wanted, welders_shown
from records.models import Job
from records.paging import in_batches
from records.sending import ListTable, heads
from reports.spreadsheet import Cell

_HEADS = heads(
    "stamp", "name", "employer", "from", "to", "process", "WPQ", "test date", "pipe diameter", "deposit", "positions",
    "P-Numbers", "F-Numbers", "standing", "until",
)  # fmt: skip


def welders_table(job: Job, *, search: str = "") -> ListTable:
    """Return the welders that match, by stamp; six queries for each 2,000."""
    return ListTable("welders", _HEADS, _rows(job, search))


def _rows(job: Job, search: str) -> Iterator[list[Cell]]:
    for batch in in_batches(stamps_wanted(job, search), KEYS, ("id",)):
        for welder in welders_shown(job, [row[0] for row in batch]):
            yield from _of_welder(welder)


def _of_welder(welder: WelderShown) -> Iterator[list[Cell]]:
    who: list[Cell] = [welder.stamp, welder.name, welder.employer, welder.valid_from, welder.valid_to]
    for one in welder.qualifications:
        held, tested = one.range, one.tested
        yield [
            *who, tested.process, tested.wpq, tested.tested_on, held.diameter, held.deposit, ", ".join(held.positions),
            held.p_numbers, held.f_numbers, one.standing, one.words,
        ]  # fmt: skip
    if not welder.qualifications:
        yield [*who, *[None] * (len(_HEADS) - len(who))]
