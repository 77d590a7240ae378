"""Welding positions: the letters a weld needs, and those a performance test gives."""

import re
from collections.abc import Iterable
from functools import lru_cache

FLAT, HORIZONTAL, VERTICAL, OVERHEAD, SPECIAL = "F", "H", "V", "O", "S"
ALL = frozenset("FHVO")
NAMES = {"F": "flat", "H": "horizontal", "V": "vertical", "O": "overhead", "S": "special"}
# What a weld made in a test position asks of the welder: a fixed horizontal pipe is welded from below to the top.
# A fillet round it is horizontal at the top, where one leg lies on the pipe and the other stands (geometry).
_NEEDED = {
    "1G": "F",
    "2G": "H",
    "3G": "V",
    "4G": "O",
    "5G": "FVO",
    "6G": "FHVO",
    "1F": "F",
    "2F": "H",
    "2FR": "H",
    "3F": "V",
    "4F": "O",
    "5F": "HVO",
    "6F": "FHVO",
    # At an angle of its own, which no record has: one special position counts as another, and all cover it.
    "SP": "S",
}


@lru_cache(maxsize=4096)
def needed(position: str) -> frozenset[str]:
    """The letters F, H, V, O, S that a weld in this position needs; none for a text that names no position."""
    plain = position.strip()
    letters: set[str] = set()
    for part in re.split(r"[\s,+/;]+", plain):
        word = part.lower()
        if part.upper() in _NEEDED:
            letters |= set(_NEEDED[part.upper()])
        elif word == "all":
            letters |= ALL
        elif part.upper() in NAMES:
            letters.add(part.upper())
        else:
            letters |= {letter for letter, name in NAMES.items() if word == name}
    return frozenset(letters)


def allowed(positions: Iterable[str], fillet: bool) -> frozenset[str]:
    """The letters that a procedure's list of positions allows; all for an empty list.

    fillet   a fillet round a fixed horizontal pipe takes every position (QW-461.9 has 5G and 5F as all for fillets)
    """
    given = tuple(positions)
    if not given or (fillet and any(one.strip().upper() in ("5G", "5F") for one in given)):
        return with_special(ALL)
    return with_special(frozenset().union(*(needed(one) for one in given)))


def with_special(letters: frozenset[str]) -> frozenset[str]:
    """The same letters; whoever covers all positions covers a special one too."""
    return letters | {SPECIAL} if letters >= ALL else letters


def in_words(letters: Iterable[str]) -> str:
    """Letters as a person reads them: `flat, vertical and overhead`, `all positions`, `none`."""
    given = set(letters)
    if given >= ALL:
        return "all positions"
    known = [NAMES[letter] for letter in NAMES if letter in given]
    return f"{', '.join(known[:-1])} and {known[-1]}" if len(known) > 1 else "".join(known) or "none"
