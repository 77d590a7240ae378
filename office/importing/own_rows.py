"""The rows of a person's own sheets under the headings of the job workbook: one sheet may be several of its kinds."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, islice
from typing import Any

from office.importing.archive import Unreadable
from office.importing.cells import is_blank
from office.importing.columns import header
from office.importing.forms import BY_NAME
from office.importing.heading_units import kept_with
from office.importing.own_names import MOST_ABOVE, MOST_ACROSS, OwnNames, OwnPart, OwnSheet, headed, keys, said
from office.importing.sources import Part, Reader, Source

_JOINT, _SPOOLS = "joint", "spools"
# How people write that there is nothing to say, and the row under a table that counts it; common practice, no source.
_DASHES = frozenset({"-", "--", "\u2013", "\u2014"})
_NOTHING = frozenset({"n/a", "n.a.", "n/a.", "not applicable"}) | _DASHES
_TOTAL = re.compile(r"(?:(?:grand|sub)[ -]?)?totals?\b.{0,30}|sum:?", re.IGNORECASE)
# By what a row says, the part of a sheet and the row, from 1, that said it first.
Stood = dict[tuple[str, ...], tuple[str, int]]


def read_by(names: OwnNames, source: Source, seen: dict[str, list[list[str]]]) -> Source:
    """Return a source whose headings are those of the job workbook, with what a sheet is besides as parts of it.

    seen   gets the first rows of each sheet as they are read
    """
    readers: dict[str, Reader] = {}
    parts: dict[str, Part] = {}
    for name, read in source.readers.items():
        own = names.of(name)
        readers[name] = _reader(read, own, name, seen)
        for part in _parts(own, name) if own else ():
            while part.name in source.readers:
                part.name += " too"
            readers[part.name], parts[part.name] = part.reader(read), part.part
    return Source(readers, source.skipped, source.is_delimited, parts)


def peek(source: Source, sheets: list[str]) -> list[Unreadable]:
    """Read the first rows of sheets that nothing else reads, so that they are seen; returns why some can't be."""
    damaged = []
    for name in sheets:
        try:
            for _ in islice(source.rows(name), MOST_ABOVE):
                pass
        except Unreadable as error:
            damaged.append(error)
    return damaged


def _reader(read: Reader, own: OwnSheet | None, name: str, seen: dict[str, list[list[str]]]) -> Reader:
    def rows() -> Iterator[list[Any]]:
        seen[name] = []
        all_rows = read()
        first = list(islice(all_rows, MOST_ABOVE))
        seen[name] = [[said(cell) for cell in cells[:MOST_ACROSS]] for cells in first]
        at = headed(seen[name], own) if own else 0
        if own is None or not at:
            yield from first
            yield from all_rows
            return
        heads = keys([said(cell) for cell in first[at - 1]])
        aside = _unread(heads, own)
        yield from ([] for _ in range(at - 1))
        yield _without([_meant(cell, key, own) for cell, key in zip(first[at - 1], heads, strict=True)], aside)
        for cells in _rows_of_value(first, at, all_rows, own):
            yield _without(cells, aside)

    return rows


@dataclass(slots=True)
class _PartReader:
    """What the rows of a sheet are besides, under a name of its own: its columns alone, then what every row says.

    telling   the columns of which one must say something, or the row is blank here
    stood     the rows that were read of the same kind; None for what is told of a joint
    """

    name: str
    part: Part
    sheet: OwnSheet
    own: OwnPart
    telling: set[str]
    stood: Stood | None

    def reader(self, read: Reader) -> Reader:
        """Return a reader of the part, of one that reads the whole sheet."""

        def rows() -> Iterator[list[Any]]:
            all_rows = read()
            first = list(islice(all_rows, MOST_ABOVE))
            at = headed([[said(cell) for cell in cells[:MOST_ACROSS]] for cells in first], self.sheet)
            if not at:
                return
            written = [said(cell) for cell in first[at - 1]]
            found = {key: place for place, key in enumerate(keys(written))}
            columns = {column: found[key] for column, key in self.own.read.items() if key in found}
            self.part.places.update(enumerate(columns.values()))
            yield from ([] for _ in range(at - 1))
            by_name = BY_NAME[header(self.own.form)].by_name
            heads = [kept_with(by_name.get(column), written[place]) for column, place in columns.items()]
            yield [*heads, *self.own.fixed]
            spools = self._gathered(read, at, columns)
            for number, cells in enumerate(_rows_of_value(first, at, all_rows, self.sheet), start=at + 1):
                row = _row(cells, columns)
                says = any(not is_blank(row[column]) for column in row if column in self.telling)
                if says and spools:
                    row[_SPOOLS] = ", ".join(spools[_sheet_of(row)])
                says = says and not self._stood(row, number)
                yield [*row.values(), *self.own.fixed.values()] if says else []

        return rows

    def _gathered(self, read: Reader, at: int, columns: Mapping[str, int]) -> dict[tuple[str, ...], dict[str, None]]:
        """The spools of each drawing sheet, which the rows of a register name one at a time."""
        found: dict[tuple[str, ...], dict[str, None]] = {}
        if _SPOOLS not in columns or self.stood is None:
            return found
        all_rows = read()
        first = list(islice(all_rows, at))
        for cells in _rows_of_value(first, at, all_rows, self.sheet):
            row = _row(cells, columns)
            spools = found.setdefault(_sheet_of(row), {})
            if spool := said(row[_SPOOLS]):
                spools[f'"{spool}"' if set(spool) & set(",;") else spool] = None
        return found

    def _stood(self, row: Mapping[str, Any], number: int) -> bool:
        """Whether a row before said the same: a heat or a sheet stands once, however many joints name it."""
        if self.stood is None:
            return False
        told = {column: _whole(cell) for column, cell in row.items()} | dict(self.own.fixed)
        key = tuple(f"{column}={told[column]}" for column in sorted(told) if told[column])
        return self.stood.setdefault(key, (self.name, number)) != (self.name, number)


def _parts(own: OwnSheet, sheet: str) -> Iterator[_PartReader]:
    before = {key for key, column in own.columns.items() if column}
    stood: dict[str, Stood] = {}
    for name, one in own.named(sheet):
        form = BY_NAME[header(one.form)]
        beside = {column for column in one.read if column not in form.identity}
        if _JOINT in form.identity:
            # Something of a joint, which the row names anyhow: what it says beside that tells.
            telling, seen = {column for column in beside if one.read[column] not in before} or beside, None
        else:
            # A certificate without its heat is told; a material, which the plan says of each joint, is not.
            alone = {column for column in beside if one.read[column] not in before and not form.by_name[column].needed}
            telling, seen = {*form.identity, *alone}, stood.setdefault(form.name, {})
        before |= set(one.read.values())
        yield _PartReader(name, Part(sheet, form.name), own, one, telling, seen)


def _rows_of_value(
    first: Sequence[list[Any]], at: int, all_rows: Iterator[list[Any]], own: OwnSheet
) -> Iterator[list[Any]]:
    """The rows below the headings, blank where they say nothing of the job: headings and titles again, and totals.

    A total stands first in its row or under what names a row, and not all is there that names one: a result by
    "Total Inspection" is no total. A cell of N/A or a dash is blank too, but a dash that is a revision: the first issue
    of a drawing (ASME Y14.35, from memory).
    """
    above = {_texts(cells) for cells in first[:at]} - {()}
    form = BY_NAME.get(header(own.form))
    keys_of = keys([said(cell) for cell in first[at - 1]])
    naming = [
        place
        for place, key in enumerate(keys_of)
        if form and (column := own.columns.get(key)) in form.identity and form.by_name[column].filled
    ]
    issues = {key for one in own.also if (key := one.read.get("revision"))}
    issued = [place for place, key in enumerate(keys_of) if key in issues or own.columns.get(key) == "revision"]
    for cells in chain(first[at:], all_rows):
        texts = _texts(cells)
        is_again = texts in above and all(type(cell) is str or cell is None for cell in cells)
        if is_again or _is_total(cells, naming):
            yield []
        else:
            said_here = ["" if type(cell) is str and cell.strip().casefold() in _NOTHING else cell for cell in cells]
            for place in issued:
                if place < len(cells) and type(cells[place]) is str and cells[place].strip() in _DASHES:
                    said_here[place] = cells[place]
            yield said_here


def _is_total(cells: Sequence[Any], naming: Sequence[int]) -> bool:
    first = next((place for place, cell in enumerate(cells) if not is_blank(cell)), 0)
    named = [cells[place] if place < len(cells) else None for place in naming]
    if not any(map(is_blank, named)):
        return False
    return any(type(cell) is str and _TOTAL.fullmatch(cell.strip()) for cell in (*cells[first : first + 1], *named))


def _texts(cells: Sequence[Any]) -> tuple[str, ...]:
    return tuple(text for cell in cells if type(cell) is str and (text := cell.strip()))


def _row(cells: Sequence[Any], columns: Mapping[str, int]) -> dict[str, Any]:
    return {column: cells[place] if place < len(cells) else "" for column, place in columns.items()}


def _whole(cell: Any) -> str:
    """What a cell says, however long: two remarks that begin alike may differ at their end."""
    return " ".join(cell.split()) if type(cell) is str else said(cell)


def _sheet_of(row: Mapping[str, Any]) -> tuple[str, ...]:
    return tuple(said(row.get(column, "")) for column in ("drawing", "sheet"))


def _unread(heads: Sequence[str], own: OwnSheet) -> list[int]:
    """The places of headings that something else reads, or that were left out though a column is called so."""
    others = {key for one in own.also for key in one.read.values()}
    form = BY_NAME.get(header(own.form))
    named = form.by_header if form else {}
    return [
        place
        for place, key in enumerate(heads)
        if not own.columns.get(key) and (key in others or (key in own.columns and key in named))
    ]


def _without(cells: list[Any], aside: Sequence[int]) -> list[Any]:
    """The cells but for those of columns that something else reads."""
    left = list(cells) if aside else cells
    for place in aside:
        if place < len(left):
            left[place] = ""
    return left


def _meant(cell: Any, key: str, own: OwnSheet) -> Any:
    column = own.columns.get(key)
    form = BY_NAME.get(header(own.form))
    return (kept_with(form.by_name.get(column), said(cell)) if column and form else "") or cell
