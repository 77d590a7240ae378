"""The marks of cells in the XML of a sheet: as programs write them, and in every other way that a reader takes.

Whatever the text, each search here takes time in proportion to its length: none goes beyond the next mark.
"""

import re
from collections.abc import Iterator

MOST_ROWS, MOST_COLUMNS = 1_048_576, 16_384

WIDE = re.compile(rb' r="[A-Za-z]{3}')
TWO_LETTERS = re.compile(rb' r="[A-Za-z]{2}')
TALL = re.compile(rb' r="[A-Za-z]{0,3}\d{6}')
FAR = re.compile(rb' r="[A-Za-z]{0,3}\d{7}')
_PLACED = rb'<c\b[^<>]{0,300}? r="([A-Z]{1,3})(\d{1,7})"[^<>]{0,300}'
ERROR = re.compile(
    _PLACED + rb'? t="e"[^<>]{0,300}>(?:(?!<v>|</c>|<c\b).)*+<v>([^<]*+)</v>',
    re.DOTALL,
)
UNCOMPUTED = re.compile(
    _PLACED + rb">\s*+(?:<f\b[^<>]*+(?<=/)>|<f\b[^<>]*+(?<!/)>[^<]*+</f>)\s*+(?:<v\s*+/>|<v></v>)?\s*+</c>"
)
_BEGUN = re.compile(rb"<(?:[^\s<>/:\"'=]{1,40}:)?(?:row|c)(?=[\s/>])")
_MARK = re.compile(rb"<(?:[^\s<>/:\"'=]{1,40}:)?(row|c)(?=[\s/>])((?:[^\"'<>]++|\"[^\"<]*+\"|'[^'<]*+')*+)>")
_ATTRIBUTE = re.compile(rb"\s*+([^\s=\"'/]++)\s*+=\s*+(\"[^\"]*+\"|'[^']*+')")
_PLACE = re.compile(rb"([A-Za-z]{1,3})(\d{1,7})")
_COLUMN_OF = re.compile(rb'<c r="([A-Za-z]{1,9})')
_ROW_OF = re.compile(rb'<c r="[A-Za-z]{1,9}(\d{1,12})')
_ROW = re.compile(rb"\d{1,7}")
_OTHER_STARTS = (b"<c>", b"<c/", b"<c\t", b"<c\n", b"<c\r")
_OTHER_NAMES = tuple(b":c" + end for end in (b" ", b">", b"/", b"\t", b"\n", b"\r"))


class Odd(Exception):
    """A mark of a cell that no spreadsheet program writes; the sentence says which."""


def is_usual(piece: bytes) -> bool:
    """Whether every mark of a cell in a piece begins with its place, as spreadsheet programs write it."""
    return piece.count(b"<c ") == piece.count(b'<c r="') and not any(
        one in piece for one in (*_OTHER_STARTS, *_OTHER_NAMES)
    )


def count_cells(piece: bytes) -> int:
    """At most how many cells a piece has."""
    return piece.count(b"<c") + piece.count(b":c")


def column_number(found: bytes) -> int:
    """Return a column's number, from 0, of its letters."""
    number = 0
    for letter in found.upper():
        number = number * 26 + letter - 64
    return number - 1


class Extent:
    """The last row and column that the marks of cells speak of."""

    def __init__(self) -> None:
        self.rows = self.columns = self._row = self._column = 0

    def take_usual(self, piece: bytes) -> None:
        """Follow the marks of a piece in which all are usual."""
        columns, rows = set(_COLUMN_OF.findall(piece)), set(_ROW_OF.findall(piece))
        self.columns = max(self.columns, *(column_number(one) + 1 for one in columns), 0)
        self.rows = max(self.rows, *map(int, rows), 1)

    def take(self, piece: bytes) -> None:
        """Follow the marks of a piece however they are written. Raises Odd where one can't be read"""
        marks = 0
        for mark in _MARK.finditer(piece):
            marks += 1
            self._follow(mark[1], next(_places(mark[2]), b""))
        if marks != sum(1 for _ in _BEGUN.finditer(piece)):
            raise Odd("holds a cell that can't be read")

    def _follow(self, name: bytes, place: bytes) -> None:
        """A cell that says no place stands behind the one before it, in the row that was begun last."""
        if name == b"row":
            if place and not _ROW.fullmatch(place):
                raise Odd(f"names a row, {place[:20].decode(errors='replace')}, that no spreadsheet has")
            self._row, self._column = int(place) if place else self._row + 1, 0
            return
        row = self._row
        if not place:
            self._column += 1
        elif found := _PLACE.fullmatch(place):
            row, self._column = int(found[2]), column_number(found[1]) + 1
        else:
            raise Odd(f"names a cell, {place[:20].decode(errors='replace')}, that no spreadsheet has")
        self.rows, self.columns = max(self.rows, row), max(self.columns, self._column)


def _places(attributes: bytes) -> Iterator[bytes]:
    """The values of `r`. Raises Odd for what are no attributes"""
    at = 0
    while found := _ATTRIBUTE.match(attributes, at):
        at = found.end()
        if found[1] == b"r":
            yield found[2][1:-1]
            return
    if attributes[at:].strip(b" \t\r\n/"):
        raise Odd("holds a cell that can't be read")
