"""The transport envelope of a job: three sides that a spool must not exceed, as somebody types them."""

import re
from decimal import Decimal

from rules.units import UnitError, held, parse_length

_BETWEEN = re.compile(r"\s*(?:[x×]|\bby\b)\s*", re.IGNORECASE)
_FORMS = "accepted are three lengths, such as 12 m x 2.4 m x 2.4 m or 40' x 8' x 8' 6\""


def parse_envelope(text: str, units: str) -> tuple[Decimal, Decimal, Decimal]:
    """The three sides in mm, in the order they are typed: `40' x 8' x 8' 6"`.

    Raises  UnitError for anything but three lengths over 0
    """
    parts = [part for part in _BETWEEN.split(held(text).strip()) if part]
    if len(parts) != 3:
        raise UnitError(f'"{text[:40]}" is no transport envelope; {_FORMS}.')
    sides = [parse_length(part, units) for part in parts]
    if not all(sides):
        raise UnitError(f'"{text[:40]}" has a side of no length; {_FORMS}.')
    return sides[0], sides[1], sides[2]
