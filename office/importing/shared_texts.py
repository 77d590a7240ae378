"""The texts that a workbook holds once for all its cells: one long text in many cells is as much memory as all of them.

A reader gives each cell a text of its own, so that a file of a few kilobytes may ask for any amount.
"""

import re
from collections.abc import Iterable

_END = re.compile(rb"</(?:[^\s<>/:]{1,40}:)?si\s{0,9}>")
_REFERENCE = re.compile(rb"<(?:[^\s<>/:]{1,40}:)?v[^<>]{0,80}>\s{0,9}(\d{1,9})\s{0,9}</")


class TooMuchText(Exception):
    """The cells of a sheet have more text together than is read."""


class SharedTexts:
    """How long each shared text is at most, in the order in which cells refer to them."""

    def __init__(self, most: int) -> None:
        self._most, self._open = most, 0
        self._lengths: list[int] = []
        self._longest = 0

    def take(self, piece: bytes) -> None:
        """Follow a piece of the part that holds them; it begins with a mark."""
        *whole, rest = _END.split(piece)
        if whole:
            lengths = [len(one) for one in whole]
            lengths[0] += self._open
            self._open = 0
            self._lengths += lengths
            self._longest = max(self._longest, *lengths)
        self._open += len(rest)
        self._longest = max(self._longest, self._open)

    def may_be_too_much(self, cells: int) -> bool:
        """Whether so many cells could have more text together than is read."""
        return cells * self._longest > self._most

    def hold_to(self, pieces: Iterable[bytes]) -> None:
        """Add up what the cells of a sheet refer to. Raises TooMuchText"""
        total, known = 0, len(self._lengths)
        for piece in pieces:
            for found in _REFERENCE.finditer(piece):
                place = int(found[1])
                total += self._lengths[place] if place < known else 0
            if total > self._most:
                raise TooMuchText
