"""Bars of pieces of which only so many go into one: how few there can be, and a way to come near to it.

Where every piece is longer than, say, a quarter of a bar, a bar holds three pieces at most; most hold two, and the plan
is as good as the number of bars that hold three.
"""

from collections.abc import Sequence
from itertools import accumulate

MOST = 7  # pieces in a bar; where more fit, other ways fill it as well
_SWAPS = 400


def least_by_count(sizes: Sequence[int], capacity: int) -> int:
    """Bars that no plan can go under, because only so many pieces go into one.

    Of pieces longer than capacity / (m + 2) a bar holds m + 1 at most. The bars that hold so many hold together at
    least the shortest pieces there are, which bounds their number t; n pieces then need at least (n - t) / m bars.
    """
    best = 0
    for most in range(1, MOST):
        counted = sorted(size for size in sizes if size * (most + 2) > capacity)
        best = max(best, -(-(len(counted) - _fullest(counted, most + 1, capacity)) // most))
    return best


def _fullest(counted: Sequence[int], each: int, capacity: int) -> int:
    """How many bars could hold `each` pieces if lengths could be shared out evenly; they come from the shortest."""
    sums = [0, *accumulate(counted)]
    return max(bars for bars in range(len(counted) // each + 1) if sums[bars * each] <= bars * capacity)


def filled_by_count(left: Sequence[int], sizes: Sequence[int], capacity: int, most: int) -> list[list[int]]:
    """As many bars of most + 1 pieces as can be made of the shortest pieces over capacity / (most + 2).

    left     the pieces, in falling length
    Returns  these bars; the pieces that are in none of them are left to others
    """
    counted = [index for index in reversed(left) if sizes[index] * (most + 2) > capacity]
    each = most + 1
    fullest = _fullest([sizes[index] for index in counted], each, capacity)
    for bars in range(fullest, max(0, fullest - 1 - fullest // 8), -1):
        found = _evened(counted[: bars * each], bars, sizes, capacity)
        if found is not None:
            return found
    return []


def _evened(pieces: Sequence[int], bars: int, sizes: Sequence[int], capacity: int) -> list[list[int]] | None:
    """Pieces in so many bars of one count each, none over; none where swapping two by two does not come to that."""
    made: list[list[int]] = [[] for _ in range(bars)]
    used = [0] * bars
    # Longest first, round by round, each time the emptiest bar the longest piece.
    ordered = sorted(pieces, key=lambda one: (-sizes[one], one))
    for first in range(0, len(ordered), bars):
        emptiest = sorted(range(bars), key=lambda bar: (used[bar], bar))
        for bar, piece in zip(emptiest, ordered[first : first + bars], strict=True):
            made[bar].append(piece)
            used[bar] += sizes[piece]
    for _ in range(_SWAPS):
        worst = max(range(bars), key=lambda bar: (used[bar], -bar))
        if used[worst] <= capacity:
            return made
        swap = _best_swap(worst, made, used, sizes, capacity)
        if swap is None:
            return None
        mine, other, theirs = swap
        change = sizes[made[worst][mine]] - sizes[made[other][theirs]]
        made[worst][mine], made[other][theirs] = made[other][theirs], made[worst][mine]
        used[worst] -= change
        used[other] += change
    return None


def _best_swap(
    worst: int, made: Sequence[Sequence[int]], used: Sequence[int], sizes: Sequence[int], capacity: int
) -> tuple[int, int, int] | None:
    """The swap with another bar after which the two are over by the least together, if that is less than now."""
    over = used[worst] - capacity
    best: tuple[int, int, int, int, int] | None = None
    for mine, piece in enumerate(made[worst]):
        for other, bar in enumerate(made):
            if other == worst:
                continue
            before = max(0, used[other] - capacity)
            for theirs, their in enumerate(bar):
                change = sizes[piece] - sizes[their]
                if change <= 0:
                    continue
                after = max(0, over - change) + max(0, used[other] + change - capacity)
                spare = abs(used[worst] - change - used[other] - change)
                if after < over + before and (best is None or (after - before, spare) < best[:2]):
                    best = (after - before, spare, mine, other, theirs)
    return best[2:] if best is not None else None
