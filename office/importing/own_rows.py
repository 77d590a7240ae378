"""The rows of a person's own sheets under the headings of the job workbook: one sheet may be several of its kinds."""

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

_JOINT = "joint"
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
        others = {key for one in own.also for key in one.read.values()}
        aside = [place for place, key in enumerate(heads) if key in others and not own.columns.get(key)]
        yield from ([] for _ in range(at - 1))
        yield _without([_meant(cell, key, own) for cell, key in zip(first[at - 1], heads, strict=True)], aside)
        for cells in chain(first[at:], all_rows):
            yield _without(cells, aside) if aside else cells

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
            for number, cells in enumerate(chain(first[at:], all_rows), start=at + 1):
                row = {column: cells[place] if place < len(cells) else "" for column, place in columns.items()}
                says = any(not is_blank(row[column]) for column in row if column in self.telling)
                says = says and not self._stood(row, number)
                yield [*row.values(), *self.own.fixed.values()] if says else []

        return rows

    def _stood(self, row: Mapping[str, Any], number: int) -> bool:
        """Whether a row before said the same: a heat or a sheet stands once, however many joints name it."""
        if self.stood is None:
            return False
        told = {column: said(cell) for column, cell in row.items()} | dict(self.own.fixed)
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
            telling, seen = set(form.identity), stood.setdefault(form.name, {})
        before |= set(one.read.values())
        yield _PartReader(name, Part(sheet, form.name), own, one, telling, seen)


def _without(cells: list[Any], aside: Sequence[int]) -> list[Any]:
    """The cells but for those of columns that something else reads."""
    left = list(cells)
    for place in aside:
        if place < len(left):
            left[place] = ""
    return left


def _meant(cell: Any, key: str, own: OwnSheet) -> Any:
    column = own.columns.get(key)
    form = BY_NAME.get(header(own.form))
    return (kept_with(form.by_name.get(column), said(cell)) if column and form else "") or cell
