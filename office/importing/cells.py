"""One cell: what it says as text, and the error that it can hold instead."""

import re
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

# Tab and line breaks may stand inside a remark; every other control character, NUL above all, is no text.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")
_FORMULA_ERROR = re.compile(
    r"#(?:REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!|SPILL!|CALC!|FIELD!|BLOCKED!|UNKNOWN!)|Err:\d+"
)
_SHOWN = 60
_TOO_LONG = 10**15


class CellError(ValueError):
    """What is wrong with a cell and what is accepted there, as one sentence without the cell's address."""


class BrokenCell:
    """A cell that holds an error of the spreadsheet program instead of a value."""

    __slots__ = ("said",)

    def __init__(self, said: str) -> None:
        self.said = said


def as_text(cell: Any) -> str:
    """Return what a cell says, with whole numbers as written (12.0 is `12`) and without blanks at its ends.

    Raises CellError for an error of the spreadsheet, a control character, and a date where none is meant
    """
    if type(cell) is str:
        text = cell.strip()
        if _FORMULA_ERROR.fullmatch(text):
            raise CellError(_broken(text))
        if _CONTROL.search(text):
            raise CellError(f"{shown(text)} holds a control character; accepted is plain text")
        # In quotes it is a text that somebody wrote, and no error of the spreadsheet.
        return text[1:-1] if text[:1] == '"' and _FORMULA_ERROR.fullmatch(text[1:-1]) else text
    if type(cell) is bool:
        return "yes" if cell else "no"
    if type(cell) in (float, int):
        if abs(cell) >= _TOO_LONG:
            raise CellError(
                "is a number of more than 15 figures, of which a spreadsheet loses the last; type it as text"
            )
        return number_text(cell)
    if isinstance(cell, BrokenCell):
        raise CellError(_broken(cell.said))
    if isinstance(cell, date | time | timedelta):
        kind = "time" if isinstance(cell, time | timedelta) else "date"
        raise CellError(
            f"holds a spreadsheet {kind} ({cell}), which spreadsheet programs make of a typed fraction; format the"
            " cell as text and type it again"
        )
    return str(cell)


def number_text(number: float) -> str:
    """Return a spreadsheet's number with the 15 figures it keeps, and without an exponent."""
    return f"{Decimal(format(number, '.15g')):f}"


def is_blank(cell: Any) -> bool:
    """Say whether a cell says nothing."""
    return cell is None or (type(cell) is str and not cell.strip())


def shown(text: str) -> str:
    """Return a text in quotes as a sentence can hold it, cut where it is long."""
    plain = " ".join(_CONTROL.sub("?", text).split())
    return f'"{plain[:_SHOWN]}..."' if len(plain) > _SHOWN else f'"{plain}"'


def typed_as(cell: Any) -> str:
    """Return a cell as it was typed, for the record that somebody signed for."""
    if isinstance(cell, datetime | date | time | timedelta | BrokenCell):
        return str(cell)
    return as_text(cell)


def letters(column: int) -> str:
    """Return the letters of a column counted from 0: 0 is A, 26 is AA."""
    found = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(65 + rest) + found
    return found


def _broken(said: str) -> str:
    if said.startswith("a "):
        return f"holds {said}"
    return f"holds the formula error {said}; accepted is a value"
