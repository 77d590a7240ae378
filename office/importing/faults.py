"""Everything wrong with a workbook, each with its cell, gathered in one pass."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from office.importing.cells import letters, shown
from office.importing.sources import Part

_LISTED = 8
_CELLS = 4
# The sheet of a job workbook by which what others name is made known.
_BROUGHT_BY = {
    "line": "Lines",
    "drawing sheet": "Sheets",
    "joint": "Joints",
    "piece": "Components",
    "heat": "Heats",
    "procedure": "Procedures",
    "stamp": "Welders",
    "filler lot": "Filler lots",
    "exam plan": "Exam plans",
}


@dataclass(slots=True)
class CellFault:
    """One fault with its place: a sheet or a file, and its cell where it is one of a cell."""

    sheet: str
    row: int
    column: int
    message: str
    value: str = ""

    @property
    def cell(self) -> str:
        """The cell as the spreadsheet names it, nothing for a whole sheet."""
        return f"{letters(self.column)}{self.row}" if self.row else ""


@dataclass(slots=True)
class Alike:
    """The same fault of the same value in one or more cells of a sheet: the first of the cells, and how many more."""

    sheet: str
    value: str
    message: str
    cells: list[str] = field(default_factory=list)
    more: int = 0


def gathered(faults: Iterable[CellFault]) -> list[Alike]:
    """Return faults with those alike as one, in the order of the first of each."""
    found: dict[tuple[str, str, str], Alike] = {}
    for one in faults:
        alike = found.setdefault((one.sheet, one.value, one.message), Alike(one.sheet, one.value, one.message))
        if one.cell and len(alike.cells) < _CELLS:
            alike.cells.append(one.cell)
        elif one.cell:
            alike.more += 1
    return list(found.values())


@dataclass(slots=True)
class Faults:
    """The faults found so far, and what was noticed without being one.

    parts   what was read as a sheet of its own but is part of another one, by its name
    """

    found: dict[tuple[int, int, int, str], str] = field(default_factory=dict)
    notices: dict[str, None] = field(default_factory=dict)
    order: dict[str, int] = field(default_factory=dict)
    rows: dict[str, set[int]] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)

    def cell(self, sheet: str, row: int, column: int, message: str) -> None:
        """Note what is wrong with a cell; the row counts from 1 as the spreadsheet shows it, the column from 0."""
        place = self.order.setdefault(sheet, len(self.order))
        if sheet in self.parts:
            column = self.parts[sheet].places.get(column, 0)
        self.found[place, row, column, message] = f"{sheet}!{letters(column)}{row}: {message}"
        self.rows.setdefault(sheet, set()).add(row)

    def at(self, sheet: str, row: int, column: int) -> str:
        """Return a cell as the person's own file names it; the row counts from 1, the column from 0."""
        part = self.parts.get(sheet)
        return f"{part.sheet if part else sheet}!{letters(part.places.get(column, 0) if part else column)}{row}"

    def whole(self, name: str, message: str) -> None:
        """Note what is wrong with a whole file or sheet."""
        self.found[-1, len(self.found), 0, message] = f"{name}: {message}"

    def notice(self, message: str) -> None:
        """Note something worth knowing that stops nothing."""
        self.notices[message] = None

    def lines(self) -> list[str]:
        """Return one line a fault, in the order of sheets, rows and columns."""
        return [self.found[key] for key in sorted(self.found)]

    def places(self) -> list[CellFault]:
        """Return the faults with their places, in the order of the lines."""
        names = {place: self.parts[one].sheet if one in self.parts else one for one, place in self.order.items()}
        told = (
            (names[place], row, column, message)
            if place >= 0
            else (self.found[place, row, column, message].removesuffix(f": {message}"), 0, 0, message)
            for place, row, column, message in sorted(self.found)
        )
        # A cell that several parts of a sheet read has its fault once.
        return [CellFault(*one) for one in dict.fromkeys(told)]

    def refused(self, sheet: str) -> int:
        """Return how many rows of a sheet have a fault."""
        return len(self.rows.get(sheet, ()))

    def __bool__(self) -> bool:
        return bool(self.found)


def unknown(kind: str, name: str, known: Sequence[str], *, where: str = "", is_compared: bool = True) -> str:
    """Return the sentence for a name that nothing has, with the nearest names that something has.

    is_compared  False spares the search for names that are written alike
    """
    place = f" {where}" if where else ""
    if not known:
        sheet = _BROUGHT_BY.get(kind)
        return f"there is no {kind} {shown(name)}{place}; none is known yet" + (
            f": the sheet {sheet} brings them in, in this workbook or before it" if sheet else ""
        )
    return f"there is no {kind} {shown(name)}{place}; {nearest(name, known, is_compared=is_compared)}"


def nearest(name: str, names: Sequence[str], *, is_compared: bool = True) -> str:
    """Return "accepted are ..." with the names written most like this one first."""
    folded = {one.casefold(): one for one in names} if is_compared else {}
    close = [folded[one] for one in get_close_matches(name.casefold(), folded, n=3, cutoff=0.5)]
    if len(names) <= _LISTED:
        return f"accepted are {', '.join([*close, *(one for one in names if one not in close)])}"
    if close:
        return f"accepted is for example {', '.join(close)}"
    return f"accepted are {', '.join(names[:_LISTED])} and {len(names) - _LISTED} more"
