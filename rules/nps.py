"""Nominal pipe sizes as numbers, to order and add them."""

import re
from fractions import Fraction
from functools import cache

from rules.units import UnitError

_SIZE = re.compile(r"(?:NPS\s*)?(?:(?:(\d+)\s*[- ]\s*)?(\d+)\s*/\s*([1-9]\d*)|(\d+(?:\.\d+)?))\s*\"?", re.IGNORECASE)


@cache
def nps_number(text: str) -> Fraction:
    """Return a nominal pipe size in inches: "1-1/2" is 3/2.

    Raises UnitError for a text that is no nominal pipe size.
    """
    found = _SIZE.fullmatch(text.strip())
    if not found:
        raise UnitError(f"{text!r} is no nominal pipe size; accepted are sizes such as 3/4, 1-1/2 and 6.")
    if found[4]:
        return Fraction(found[4])
    return Fraction(found[1] or 0) + Fraction(int(found[2]), int(found[3]))
