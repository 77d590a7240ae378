"""In which order a column writes its days, where its heading or its own cells say so: 13.11.2026 is day first."""

import re
from collections.abc import Iterable, Sequence
from typing import Any

_WRITTEN = re.compile(r"\s*(\d{1,2})\s*([./-])\s*(\d{1,2})\s*\2\s*(\d{4})((?:[ T]+\d.*)?)\s*")
_IN_WORDS = re.compile(r"\s*(\d{1,2})[.\s/-]+([A-Za-z]{3,9})[.,\s/-]+(\d{4})((?:[ T]+\d.*)?)\s*")
_IN_HEADING = re.compile(r"([dt]{1,2}|m{1,2})\W?([dt]{1,2}|m{1,2})\W?[jy]{2,4}", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMES = (
    *("january", "february", "march", "april", "june", "july", "august"),
    *("september", "october", "november", "december", "sept"),
)
DAY_FIRST, MONTH_FIRST = "day", "month"


def heading_order(stated: str) -> str:
    """Return which comes first by what a heading states, as "dd.mm.yyyy" does; nothing where it is no order."""
    found = _IN_HEADING.fullmatch(stated.strip())
    if not found or (found[1][0] in "mM") == (found[2][0] in "mM"):
        return ""
    return MONTH_FIRST if found[1][0] in "mM" else DAY_FIRST


def order_of(cells: Iterable[Any]) -> tuple[str, str]:
    """Return which comes first by the cells that can be one day only, with the first such; none where they differ."""
    shows: dict[str, str] = {}
    for cell in cells:
        found = _WRITTEN.fullmatch(cell) if type(cell) is str else None
        first, second = (int(found[1]), int(found[3])) if found else (0, 0)
        if first > 12 >= second > 0 or second > 12 >= first > 0:
            shows.setdefault(DAY_FIRST if first > second else MONTH_FIRST, str(cell).strip())
    return next(iter(shows.items())) if len(shows) == 1 else ("", "")


def in_order(cells: Sequence[Any], order: str) -> list[Any]:
    """Return the cells with each day of this order, or with its month in words, as 2026-11-13; others as they are."""
    return [_turned(cell, order) if type(cell) is str else cell for cell in cells]


def _turned(cell: str, order: str) -> str:
    if order and (found := _WRITTEN.fullmatch(cell)):
        first, second = int(found[1]), int(found[3])
        month, day = (first, second) if order == MONTH_FIRST else (second, first)
        if month > len(_MONTHS):
            return cell
        return f"{found[4]}-{month:02d}-{day:02d}{found[5].rstrip()}"
    if found := _IN_WORDS.fullmatch(cell):
        word = found[2].casefold()
        if word in _MONTHS or word in _NAMES:
            return f"{found[3]}-{_MONTHS.index(word[:3]) + 1:02d}-{int(found[1]):02d}{found[4].rstrip()}"
    return cell
