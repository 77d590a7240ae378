"""People's own names of sheets and columns, read as those of the job workbook: what each of theirs means here."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Self

from office.importing.cells import BrokenCell, is_blank, number_text
from office.importing.columns import SheetForm, header
from office.importing.forms import BY_NAME

# How far down a heading is looked for, and how many rows of a sheet are shown beside a guess.
MOST_ABOVE = 15
MOST_ACROSS = 100
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class OwnPart:
    """What the rows of a sheet are besides: the weld log in a list of joints.

    form    the sheet of the job workbook that they are
    read    by column, the heading it is read from, as `keys` tells it; one heading may serve several columns
    fixed   by column, what every row says for which the sheet has no heading
    """

    form: str
    read: Mapping[str, str] = field(default_factory=dict)
    fixed: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class OwnSheet:
    """What one sheet of a person's own means here.

    form      the sheet of the job workbook that it is; nothing where it is left out
    row       the row, from 1, in which its headings stand; 0 is the first that says something
    columns   by its own heading, as `keys` tells it, the column that is meant; nothing where it is left out
    also      what the same rows are besides: a weld register is often a list of joints, a weld log and examinations
    """

    form: str
    row: int = 0
    columns: Mapping[str, str] = field(default_factory=dict)
    also: tuple[OwnPart, ...] = ()

    @classmethod
    def kept(cls, one: Mapping[str, Any]) -> Self:
        """Return what was kept as plain values."""
        return cls(one["form"], one["row"], one["columns"], tuple(OwnPart(**part) for part in one.get("also", ())))

    def keep(self) -> dict[str, Any]:
        """Return it as plain values."""
        also = [{"form": one.form, "read": dict(one.read), "fixed": dict(one.fixed)} for one in self.also]
        return {"form": self.form, "row": self.row, "columns": dict(self.columns)} | ({"also": also} if also else {})

    def named(self, sheet: str) -> list[tuple[str, OwnPart]]:
        """Return what its rows are besides, each under a name of its own."""
        turns = Counter([self.form])
        found = []
        for one in self.also:
            turns[one.form] += 1
            turn = f" {turns[one.form]}" if turns[one.form] > 1 else ""
            found.append((f"{sheet}, read as {one.form}{turn}", one))
        return found


@dataclass(frozen=True, slots=True)
class OwnNames:
    """What the sheets of a file mean, by their own names without case and spacing; one not named means itself."""

    sheets: Mapping[str, OwnSheet] = field(default_factory=dict)

    @classmethod
    def kept(cls, said: Mapping[str, Any]) -> Self:
        """Return the names that were kept as plain values."""
        return cls({name: OwnSheet.kept(one) for name, one in said.items()})

    def keep(self) -> dict[str, Any]:
        """Return the names as plain values."""
        return {name: one.keep() for name, one in self.sheets.items()}

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


def keys(heads: Sequence[str]) -> list[str]:
    """Return headings without case and spacing; one that stands there again is told apart by its turn."""
    turns: Counter[str] = Counter()
    found = []
    for head in map(header, heads):
        turns[head] += 1
        found.append(f"{head} {turns[head]}" if head and turns[head] > 1 else head)
    return found


def headed(top: Sequence[Sequence[str]], own: OwnSheet) -> int:
    """Return the row, from 1, in which the headings stand; 0 where no row says anything.

    It is the row that was said; where nothing stands there that was said, the one that has most of it: another
    file of the same name may have a line more above its headings.
    """
    filled = {number: cells for number, cells in enumerate(top, start=1) if any(cells)}
    known = {number: sum(header(cell) in own.columns for cell in cells) for number, cells in filled.items()}
    at = next((number for number in filled if number >= own.row), 0)
    return at if known.get(at) or not any(known.values()) else max(known, key=known.__getitem__)


def said(cell: Any) -> str:
    """Return a cell as a person reads it, on one line and not too long."""
    if is_blank(cell):
        return ""
    typed = cell.said if isinstance(cell, BrokenCell) else number_text(cell) if type(cell) is float else str(cell)
    # What can't be printed can't be kept on PostgreSQL either.
    text = " ".join("".join(sign if sign.isprintable() else " " for sign in typed).split())
    return text[:_LONGEST]
