"""The order of names that hold figures: 2 before 10, as a person lists them."""

import re
from functools import lru_cache

_FIGURES = re.compile(r"\d+")
_WIDTH, _LONGEST = 6, 200


def natural_key(*names: str) -> str:
    """Return a text that sorts names by their figures; for a joint its drawing, sheet and number."""
    return " ".join(map(_padded, names))[:_LONGEST]


@lru_cache(maxsize=4096)
def _padded(name: str) -> str:
    return _FIGURES.sub(lambda found: found[0].zfill(_WIDTH), name.casefold())
