"""What is accepted instead of a name that is not known, the nearest first."""

import re
from collections.abc import Iterable
from difflib import get_close_matches
from fractions import Fraction

_NUMBER = re.compile(r"(?:(\d+)[- ])?(\d+)/([1-9]\d*)|(\d+(?:\.\d+)?)")


def nearest(wanted: str, known: Iterable[str]) -> list[str]:
    """All known names, nearest first: numbers and pipe sizes by their value, other names by their letters."""
    names = list(known)
    value = as_number(wanted)
    numbers = {name: number for name in names if (number := as_number(name)) is not None}
    if value is not None and numbers:
        by_value = sorted(numbers, key=lambda name: abs(numbers[name] - value))
        return by_value + [name for name in names if name not in numbers]
    folded = {name.casefold(): name for name in reversed(names)}
    close = [folded[name] for name in get_close_matches(wanted.casefold(), folded, n=4, cutoff=0.4)]
    return close + [name for name in names if name not in close]


def as_number(text: str) -> Fraction | None:
    """The value of a whole number, decimal, fraction or mixed number; None for any other text."""
    found = _NUMBER.fullmatch(text.strip())
    if not found:
        return None
    if found[4]:
        return Fraction(found[4])
    return Fraction(found[1] or 0) + Fraction(int(found[2]), int(found[3]))
