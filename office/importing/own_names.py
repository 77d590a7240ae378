"""People's own names of sheets and columns, read as those of the job workbook: what each of theirs means here."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, Self

from office.importing.archive import Unreadable
from office.importing.cells import BrokenCell, is_blank, number_text
from office.importing.columns import SheetForm, header
from office.importing.forms import BY_NAME
from office.importing.heading_units import kept_with
from office.importing.sources import Source

# How far down a heading is looked for, and how many rows of a sheet are shown beside a guess.
MOST_ABOVE = 15
MOST_ACROSS = 100
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class OwnSheet:
    """What one sheet of a person's own means here.

    form      the sheet of the job workbook that it is; nothing where it is left out
    row       the row, from 1, in which its headings stand; 0 is the first that says something
    columns   by its own heading, without case and spacing, the column that is meant; nothing where it is left out
    """

    form: str
    row: int = 0
    columns: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OwnNames:
    """What the sheets of a file mean, by their own names without case and spacing; one not named means itself."""

    sheets: Mapping[str, OwnSheet] = field(default_factory=dict)

    @classmethod
    def kept(cls, said: Mapping[str, Any]) -> Self:
        """Return the names that were kept as plain values."""
        return cls({name: OwnSheet(one["form"], one["row"], one["columns"]) for name, one in said.items()})

    def keep(self) -> dict[str, Any]:
        """Return the names as plain values."""
        return {
            name: {"form": one.form, "row": one.row, "columns": dict(one.columns)} for name, one in self.sheets.items()
        }

    def of(self, sheet: str) -> OwnSheet | None:
        """Return what a sheet means, where somebody said so."""
        return self.sheets.get(header(sheet))

    def form_of(self, sheet: str) -> SheetForm | None:
        """Return the sheet of the job workbook that one is: the one it was said to be, else the one of its name."""
        own = self.of(sheet)
        return BY_NAME.get(header(own.form if own else sheet))

    def is_left_out(self, sheet: str) -> bool:
        """Say whether somebody said that a sheet is none of the job."""
        own = self.of(sheet)
        return own is not None and not own.form

    def over(self, source: Source, seen: dict[str, list[list[str]]]) -> Source:
        """Return a source whose headings are those of the job workbook; what is read first of each sheet is seen."""
        readers = {name: _reader(read, self.of(name), name, seen) for name, read in source.readers.items()}
        return Source(readers, source.skipped, source.is_delimited)


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


def headed(top: Sequence[Sequence[str]], own: OwnSheet) -> int:
    """Return the row, from 1, in which the headings stand; 0 where no row says anything.

    It is the row that was said; where nothing stands there that was said, the one that has most of it: another
    file of the same name may have a line more above its headings.
    """
    filled = {number: cells for number, cells in enumerate(top, start=1) if any(cells)}
    known = {number: sum(header(cell) in own.columns for cell in cells) for number, cells in filled.items()}
    at = next((number for number in filled if number >= own.row), 0)
    return at if known.get(at) or not any(known.values()) else max(known, key=known.__getitem__)


def _reader(
    read: Callable[[], Iterator[list[Any]]], own: OwnSheet | None, name: str, seen: dict[str, list[list[str]]]
) -> Callable[[], Iterator[list[Any]]]:
    def rows() -> Iterator[list[Any]]:
        seen[name] = []
        all_rows = read()
        first = list(islice(all_rows, MOST_ABOVE))
        seen[name] = [[_said(cell) for cell in cells[:MOST_ACROSS]] for cells in first]
        at = headed(seen[name], own) if own else 0
        for number, cells in enumerate(first, start=1):
            if own is None or number > at:
                yield cells
            else:
                yield [_meant(cell, own) for cell in cells] if number == at else []
        yield from all_rows

    return rows


def _meant(cell: Any, own: OwnSheet) -> Any:
    written = _said(cell)
    column = own.columns.get(header(written))
    form = BY_NAME.get(header(own.form))
    return (kept_with(form.by_name.get(column), written) if column and form else "") or cell


def _said(cell: Any) -> str:
    if is_blank(cell):
        return ""
    typed = cell.said if isinstance(cell, BrokenCell) else number_text(cell) if type(cell) is float else str(cell)
    # What can't be printed can't be kept on PostgreSQL either.
    said = " ".join("".join(sign if sign.isprintable() else " " for sign in typed).split())
    return said[:_LONGEST]
