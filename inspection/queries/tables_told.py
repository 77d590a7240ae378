"""The tables of standards as their pages show them: title, origin, rows, and who confirmed what."""

from collections.abc import Sequence
from dataclasses import dataclass

from records.confirmed import UNCONFIRMED, Confirmed, confirmed_on
from records.models import Confirmation, Job
from rules.tables import Table, row_keys, table, table_names

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class TableTold:
    """One table: its confirmation as a whole, whether that is of the job's edition, and who confirmed what in words."""

    table: Table
    confirmation: Confirmation | None
    is_confirmed: bool
    words: str


@dataclass(frozen=True, slots=True)
class RowTold:
    """One row: its key, its cells in the order of the columns, and what confirms it by itself, with its words."""

    key: str
    cells: tuple[str, ...]
    confirmation: Confirmation | None
    is_confirmed: bool = False
    words: str = ""


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
    rows = tuple(_row(key, cells, confirmed.standing.get((name, key)), confirmed) for key, cells in pairs[:MOST_ROWS])
    return _told(name, confirmed), RowsTold(tuple(one.rows[0]), rows, len(pairs), len(one.rows))


def _told(name: str, confirmed: Confirmed) -> TableTold:
    one, whole = table(name), confirmed.standing.get((name, ""))
    if whole:
        return TableTold(one, whole, confirmed.counts(whole), confirmed.told(whole))
    rows = sum(key[0] == name for key in confirmed.keys)
    return TableTold(one, None, False, f"{UNCONFIRMED}{f'; of its rows {rows} of {len(one.rows)}' if rows else ''}")


def _row(key: str, cells: tuple[str, ...], one: Confirmation | None, confirmed: Confirmed) -> RowTold:
    return RowTold(key, cells, one, confirmed.counts(one), confirmed.told(one)) if one else RowTold(key, cells, None)


def _holds(cells: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether each word stands in a cell: figures whole, so that `1 80` finds NPS 1 Schedule 80 and not NPS 1-1/2."""
    plain = [cell.casefold() for cell in cells]
    return all(any(word in (cell if word.isalpha() else cell.split()) for cell in plain) for word in wanted)
