"""What is accepted instead of a name that is not known, the nearest first."""

import re
from collections.abc import Iterable
from difflib import SequenceMatcher
from fractions import Fraction

_NUMBER = re.compile(r"(?:(\d+)[- ])?(\d+)/([1-9]\d*)|(\d+(?:\.\d+)?)")
_ALIKE = 0.5  # under this ratio two words have nothing in common that a reader would see
_MOST_MOVED = 4
_LONGEST = 100  # no name there is comes near, and how alike two long texts are takes long to say


class NotAccepted(ValueError):
    """A value that is none of those there are.

    accepted  the values there are, the nearest first; empty where there are none
    """

    def __init__(self, said: str, wanted: str, accepted: Iterable[str], *, kind: str = "", more: str = "") -> None:
        """Make the sentence `said; accepted are kind a, b, c more.`, for example `...; accepted are NPS 1, 2.`"""
        self.accepted = tuple(nearest(wanted, accepted))
        names = f"{kind}{', '.join(self.accepted)}" if self.accepted else "none in this size"
        super().__init__(f"{said}; accepted are {names}{more}.")


def nearest(wanted: str, known: Iterable[str]) -> list[str]:
    """All known names, nearest first: numbers and pipe sizes by their value, other names by their letters."""
    names, wanted = list(known), wanted[:_LONGEST]
    value = as_number(wanted)
    numbers = {name: number for name in names if (number := as_number(name)) is not None}
    if value is not None and numbers:
        by_value = sorted(numbers, key=lambda name: abs(numbers[name] - value))
        return by_value + [name for name in names if name not in numbers]
    plain = wanted.strip().casefold()
    alike = {name: SequenceMatcher(None, plain, name.casefold()).ratio() for name in names}
    close = sorted((name for name in names if alike[name] >= _ALIKE), key=lambda name: -alike[name])[:_MOST_MOVED]
    return close + [name for name in names if name not in close]


def as_number(text: str) -> Fraction | None:
    """The value of a whole number, decimal, fraction or mixed number; None for any other text."""
    found = _NUMBER.fullmatch(text.strip())
    if not found:
        return None
    if found[4]:
        return Fraction(found[4])
    return Fraction(found[1] or 0) + Fraction(int(found[2]), int(found[3]))
