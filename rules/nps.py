"""Nominal pipe sizes as numbers, to order and add them."""

import re
from fractions import Fraction
from functools import cache

from rules.units import UnitError


@cache
def nps_number(text: str) -> Fraction:
    """Return a nominal pipe size in inches: "1-1/2" is 3/2.

    Raises UnitError for a text that is no nominal pipe size.
    """
    found = re.fullmatch(r"\s*(?:NPS\s*)?(?:(\d+)(?:\s*[- ]\s*(?=\d+\s*/))?)?(?:(\d+)\s*/\s*(\d+))?\s*\"?\s*", text, re.IGNORECASE)
    if not found or not (found[1] or found[2]) or found[3] == "0":
        raise UnitError(f"{text!r} is no nominal pipe size; accepted are sizes such as 3/4, 1-1/2 and 6.")
    whole = Fraction(found[1] or 0)
    return whole + (Fraction(int(found[2]), int(found[3])) if found[2] else 0)
