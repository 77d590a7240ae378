"""The interval of a share that was counted on a few: what the true share may well be."""

from math import sqrt

Z95 = 1.959964
# `bench.mutants` keeps a copy: it changes this file to see whether a test notices.
METHOD = "95 % interval of Wilson (1927), without correction for continuity"


def wilson(counted: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share, as fractions from 0 to 1; nothing counted on says nothing: 0 to 1.

    Raises  ValueError where more are counted than there are, or fewer than none
    Source  E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209-212
    """
    if not 0 <= counted <= of:
        raise ValueError("A share counts some of all: not more than there are, and not fewer than none.")
    if not of:
        return 0.0, 1.0
    share, square = counted / of, Z95 * Z95
    middle = share + square / (2 * of)
    half = Z95 * sqrt(share * (1 - share) / of + square / (4 * of * of))
    whole = 1 + square / of
    return max(0.0, (middle - half) / whole), min(1.0, (middle + half) / whole)


def share_told(counted: int, of: int) -> str:
    """A share in words with its interval: "2 of 16, 95 %: 3.5 % to 36 %"; below 10 % with one decimal."""
    low, high = wilson(counted, of)
    return f"{counted} of {of}, 95 %: {_percent(low)} to {_percent(high)}"


def _percent(share: float) -> str:
    percent = 100 * share
    return f"{percent:.1f} %" if 0 < round(percent, 1) < 10 else f"{percent:.0f} %"
