"""The tables of standards as their pages show them: title, origin, rows, and who confirmed what."""

from collections.abc import Sequence
from dataclasses import dataclass

from records.confirmed import Confirmed, confirmed_on, confirmed_words
from records.models import Confirmation, Job
from rules.tables import Table, row_keys, table, table_names

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class TableTold:
    """One table: its confirmation as a whole, and how many single rows are confirmed."""

    table: Table
    confirmation: Confirmation | None
    confirmed_rows: int

    @property
    def words(self) -> str:
        """Who confirmed it, or that nobody did."""
        if self.confirmation:
            return confirmed_words(self.confirmation)
        rows = f"; of its rows {self.confirmed_rows} of {len(self.table.rows)}" if self.confirmed_rows else ""
        return f"unconfirmed{rows}"


@dataclass(frozen=True, slots=True)
class RowTold:
    """One row: its key, its cells in the order of the columns, and what confirms it by itself."""

    key: str
    cells: tuple[str, ...]
    confirmation: Confirmation | None


@dataclass(frozen=True, slots=True)
class RowsTold:
    """The rows that match, and how many there are; no more than some hundred are shown."""

    columns: tuple[str, ...]
    rows: tuple[RowTold, ...]
    found: int
    total: int


def tables_told(job: Job) -> list[TableTold]:
    """Return all tables by name; one query."""
    confirmed = confirmed_on(job)
    return [_told(name, confirmed) for name in table_names()]


def table_told(job: Job, name: str, words: str) -> tuple[TableTold, RowsTold]:
    """Return one table with the rows in which every one of the words stands; one query."""
    confirmed = confirmed_on(job)
    one = table(name)
    wanted = words.casefold().split()
    pairs = [
        (key, tuple(row.values()))
        for key, row in zip(row_keys(name), one.rows, strict=True)
        if _holds(tuple(row.values()), wanted)
    ]
    rows = tuple(RowTold(key, cells, confirmed.standing.get((name, key))) for key, cells in pairs[:MOST_ROWS])
    return _told(name, confirmed), RowsTold(tuple(one.rows[0]), rows, len(pairs), len(one.rows))


def _told(name: str, confirmed: Confirmed) -> TableTold:
    rows = sum(one == name and key != "" for one, key in confirmed.standing)
    return TableTold(table(name), confirmed.standing.get((name, "")), rows)


def _holds(cells: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether each word stands in a cell: figures whole, so that `1 80` finds NPS 1 Schedule 80 and not NPS 1-1/2."""
    plain = [cell.casefold() for cell in cells]
    return all(any(word in (cell if word.isalpha() else cell.split()) for cell in plain) for word in wanted)
