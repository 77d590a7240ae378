"""A sheet read into columns of values: header matched, blank rows left out, each distinct cell parsed once."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from itertools import zip_longest
from typing import Any

from office.importing.cells import BrokenCell, CellError, as_text, is_blank, letters, shown, typed_as
from office.importing.columns import Column, SheetForm, field_of, fitted, header
from office.importing.day_order import heading_order, in_order, order_of
from office.importing.faults import Faults
from office.importing.heading_units import stated, unit_of, with_unit, without
from office.importing.parsers import Setting, is_day

_LONGEST = 1_048_576


class _Bad:
    """Stands in a column for a cell that was refused."""

    __slots__ = ("message",)

    def __init__(self, message: str) -> None:
        self.message = message


@dataclass(slots=True)
class Table:
    """The rows of one sheet, column by column; a blank cell is None, and so is one that was refused.

    numbers   the rows' numbers as the spreadsheet shows them
    values    by column name; only columns that the sheet has
    cells     the cells as they were, of columns whose typing is kept
    places    each column's place, from 0
    later     of rows that were put behind: the first of them, what they were read as, and the places there
    sound     whether a row is without fault so far
    """

    form: SheetForm
    sheet: str
    numbers: list[int]
    values: dict[str, list[Any]]
    cells: dict[str, list[Any]]
    places: dict[str, int]
    faults: Faults
    sound: list[bool] = field(default_factory=list)
    later: list[tuple[int, str, dict[str, int]]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.numbers)

    def column(self, name: str) -> list[Any]:
        """Return a column's values; a column that the sheet lacks is blank."""
        return self.values.get(name) or [None] * len(self.numbers)

    def fault(self, index: int, name: str, message: str) -> None:
        """Note what is wrong with a cell, and that its row can't be used."""
        self.sound[index] = False
        behind = ((sheet, places) for first, sheet, places in reversed(self.later) if index >= first)
        sheet, places = next(behind, (self.sheet, self.places))
        self.faults.cell(sheet, self.numbers[index], places.get(name, 0), message)

    def put_behind(self, other: "Table") -> None:
        """Put the rows of another reading of the same sheet behind its own; what then stands twice is a fault."""
        self.later.append((len(self), other.sheet, other.places))
        for mine, theirs in ((self.values, other.values), (self.cells, other.cells)):
            for name in mine | theirs:
                ahead, behind = mine.get(name) or [None] * len(self), theirs.get(name) or [None] * len(other)
                mine[name] = [*ahead, *behind]
        self.numbers += other.numbers
        self.sound += other.sound
        refuse_doubles(self)

    def keys(self, names: Sequence[str]) -> Iterator[tuple[Any, ...]]:
        """Yield the values of several columns, row by row."""
        return zip(*(self.column(name) for name in names), strict=True)

    def sound_rows(self) -> Iterable[int]:
        """Yield the indexes of the rows that are without fault."""
        return (index for index, is_sound in enumerate(self.sound) if is_sound)


def read_table(
    form: SheetForm,
    sheet: str,
    rows: Iterator[list[Any]],
    setting: Setting,
    faults: Faults,
    is_delimited: bool = False,
) -> Table:
    """Read a sheet; whatever is wrong with its header and cells goes to the faults.

    is_delimited  the rows are of a text with separators, where one too many moves what follows it
    """
    faults.order.setdefault(sheet, len(faults.order))
    heads, head_number = _header(rows)
    places = _places(form, sheet, heads, head_number, faults)
    numbers, filled = _filled_rows(sheet, rows, head_number + 1, faults)
    _tell_beyond(sheet, heads, numbers, filled, faults, is_delimited)
    across = list(zip_longest(*filled))
    del filled
    raw = [list(across[place]) if place < len(across) else [None] * len(numbers) for place in places.values()]
    del across
    table = Table(form, sheet, numbers, {}, {}, places, faults, [True] * len(numbers))
    if numbers or (not places and not all(map(is_blank, heads))):
        # Headings of which none is known are another table, also where no row follows.
        _require_columns(table, head_number)
    units = _units(table, heads, head_number, setting)
    for (name, place), cells in zip(places.items(), raw, strict=True):
        column = form.by_name[name]
        if is_day(column.parse):
            cells = _days(table, place, as_text(heads[place]), cells)
        _parse_column(table, column, with_unit(cells, units[name]) if units[name] else cells, setting)
    refuse_doubles(table)
    return table


def _days(table: Table, place: int, heading: str, cells: list[Any]) -> list[Any]:
    """The cells of a column of days in the order that its heading states, or that its own cells show."""
    order, shown_by = heading_order(stated(heading)), ""
    if not order:
        order, shown_by = order_of(cells)
    if shown_by:
        at = table.faults.at(table.sheet, table.numbers[0], place)
        table.faults.notice(f"{at}: days are read with the {order} first, as {shown_by} shows")
    return in_order(cells, order)


def _filled_rows(
    sheet: str, rows: Iterator[list[Any]], first: int, faults: Faults
) -> tuple[list[int], list[list[Any]]]:
    """The rows that say something, with their numbers."""
    numbers, filled = [], []
    for number, cells in enumerate(rows, start=first):
        if number > _LONGEST:
            faults.whole(sheet, f"has more than {_LONGEST} rows; split it")
            break
        if (cells and not is_blank(cells[0])) or any(not is_blank(cell) for cell in cells):
            numbers.append(number)
            filled.append(cells)
    return numbers, filled


def _tell_beyond(
    sheet: str, heads: list[Any], numbers: list[int], filled: list[list[Any]], faults: Faults, is_delimited: bool
) -> None:
    """Tell of values to the right of the last heading: beside a table they are notes, in a text they moved there."""
    width = max((place for place, head in enumerate(heads, start=1) if not is_blank(head)), default=0)
    longer = [index for index, cells in enumerate(filled) if len(cells) > len(heads)]
    for index, cells in enumerate(filled):
        place = next((place for place in range(width, len(cells)) if not is_blank(cells[place])), None)
        if place is None and is_delimited and len(cells) > len(heads) and len(longer) < len(filled):
            place = len(heads)
        if place is None:
            continue
        if not is_delimited:
            faults.notice(f"{sheet}!{letters(place)}{numbers[index]}: stands under no heading; such cells are skipped")
            return
        faults.cell(
            sheet,
            numbers[index],
            place,
            f"the row has more values than there are headings; accepted are {len(heads)} values, in double quotes where"
            " one holds a separator or a decimal comma",
        )


def _header(rows: Iterator[list[Any]]) -> tuple[list[Any], int]:
    for number, cells in enumerate(rows, start=1):
        if any(not is_blank(cell) for cell in cells):
            return cells, number
    return [], 1


def _places(form: SheetForm, sheet: str, heads: list[Any], row: int, faults: Faults) -> dict[str, int]:
    """Each known column's place; unknown ones are reported."""
    places: dict[str, int] = {}
    for place, head in enumerate(heads):
        if is_blank(head):
            continue
        try:
            written = as_text(head)
        except CellError as error:
            faults.cell(sheet, row, place, str(error))
            continue
        column = form.by_header.get(header(written)) or form.by_header.get(header(without(written)))
        if column is None:
            faults.notice(
                f"{sheet}!{letters(place)}{row}: no column is called {shown(written)}; skipped{_like(form, written)}"
            )
        elif column.name in places:
            faults.cell(
                sheet,
                row,
                place,
                f"the column {column.name} stands twice, first in {letters(places[column.name])}{row}",
            )
        else:
            places[column.name] = place
    return places


def _units(table: Table, heads: list[Any], row: int, setting: Setting) -> dict[str, str]:
    """The unit that the heading of each column states, if any; one that can't be is a fault of the heading."""
    units: dict[str, str] = {}
    for name, place in table.places.items():
        units[name], wrong, aside = unit_of(table.form.by_name[name], as_text(heads[place]), setting)
        if wrong:
            table.faults.cell(table.sheet, row, place, wrong)
        if aside:
            table.faults.notice(f"{table.sheet}!{letters(place)}{row}: {aside}")
    return units


def _like(form: SheetForm, written: str) -> str:
    close = get_close_matches(header(written), form.by_header, n=1, cutoff=0.75)
    return f" (did you mean {form.by_header[close[0]].name}?)" if close else ""


def _require_columns(table: Table, row: int) -> None:
    for column in table.form.columns:
        if column.needed and column.name not in table.places:
            listed = ", ".join(one.name for one in table.form.columns if one.needed)
            table.faults.cell(table.sheet, row, 0, f"the column {column.name} is missing; needed are {listed}")
            table.sound = [False] * len(table.numbers)


class _Parsed(dict[Any, Any]):
    """What each distinct cell of a column says, worked out when it first occurs."""

    def __init__(self, form: SheetForm, column: Column, setting: Setting) -> None:
        super().__init__()
        self.column, self.setting, self.field = column, setting, field_of(form, column)

    def __missing__(self, cell: Any) -> Any:
        value = self[cell] = self._value(cell)
        return value

    def _value(self, cell: Any) -> Any:
        if is_blank(cell):
            return None
        try:
            value = fitted(self.column.parse(cell, self.setting), self.field)
        except CellError as error:
            return _Bad(str(error))
        refused = self.column.check(value, self.setting) if self.column.check else ""
        return _Bad(refused) if refused else value


def _parse_column(table: Table, column: Column, cells: list[Any], setting: Setting) -> None:
    kinds = set(map(type, cells))
    if bool in kinds or BrokenCell in kinds:
        # True and 1.0 are one key of a dictionary, so truths get a text of their own.
        cells = [_plain(cell) for cell in cells]
    values = list(map(_Parsed(table.form, column, setting).__getitem__, cells))
    if column.filled and None in values:
        for index in [index for index, value in enumerate(values) if value is None]:
            table.fault(index, column.name, f"the {column.name} is blank; it is needed in every row")
    if _Bad in set(map(type, values)):
        for index, value in enumerate(values):
            if type(value) is _Bad:
                table.fault(index, column.name, value.message)
                values[index] = None
    table.values[column.name] = values
    if column.is_typed:
        table.cells[column.name] = cells


def _plain(cell: Any) -> Any:
    return ("yes" if cell else "no") if type(cell) is bool else cell


def refuse_doubles(table: Table) -> None:
    """Fault every row whose identity stands in a row before it."""
    if table.form.may_repeat or not len(table):
        return
    names = (*table.form.identity, *table.form.finer)
    first: dict[tuple[Any, ...], int] = {}
    for index, key in enumerate(table.keys(names)):
        before = first.setdefault(key, index)
        if before != index and None not in key[: _counted(table)]:
            said = ", ".join(f"{name} {value}" for name, value in zip(table.form.identity, key, strict=False) if value)
            table.fault(
                index, table.form.identity[-1], f"{said} stands in row {table.numbers[before]} already; one row each"
            )


def _counted(table: Table) -> int:
    """How many columns of an identity must say something, so that a refused cell makes no double."""
    return sum(table.form.by_name[name].filled for name in table.form.identity)


def reason_of(table: Table, index: int) -> str:
    """Return why, by whom and when: a record keeps the day and the name of the deed, not of what came after."""
    said = table.column
    return f"{said('reason')[index]} ({said('by')[index]}, {said('date')[index]})"


def typed_texts(table: Table) -> list[dict[str, str]]:
    """Return, for each row, its measurements as they were typed, by column name; rows typed alike share theirs."""
    alike: dict[tuple[str | None, ...], dict[str, str]] = {}
    names = list(table.cells)
    found = []
    for texts in zip(*(_as_typed(cells, table.values[name]) for name, cells in table.cells.items()), strict=True):
        if texts not in alike:
            alike[texts] = {name: text for name, text in zip(names, texts, strict=True) if text is not None}
        found.append(alike[texts])
    return found


def _as_typed(cells: Sequence[Any], values: Sequence[Any]) -> list[str | None]:
    """A column's cells as they were typed, None where a cell is blank or was refused."""
    said: dict[Any, str] = {}
    return [
        None if value is None else said[cell] if cell in said else said.setdefault(cell, typed_as(cell))
        for cell, value in zip(cells, values, strict=True)
    ]
