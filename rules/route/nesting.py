"""A cutting plan: lengths of pipe laid into bars with the saw's kerf, beside the least number of bars there can be.

Each bar is filled as full as can be, longest pieces first, and the better of several ways is kept; all in whole tenths
of a millimetre, so that the plan is the same on every machine.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import partial
from random import Random

from rules.route.nesting_counts import MOST, filled_by_count, least_by_count

_TENTH = Decimal("0.1")
_TRIES = 4_000  # how many ways to fill one bar are looked at
_THRESHOLDS, _STEPS = 400, 20
_ROUNDS, _TAKEN, _FEW_TRIES = 3000, (5, 4, 7, 6, 8, 5, 4, 7), 200


_Way = Callable[[Sequence[int], Sequence[int], int], list[list[int]]]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A length to cut, and what it is called."""

    mark: str
    length_mm: Decimal


@dataclass(frozen=True, slots=True)
class Stock:
    """A bar or a rest that is there: its name, its length, its heat."""

    name: str
    length_mm: Decimal
    heat: str = ""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar and what is cut from it, in the order of cutting; the rest can be used where it is long enough."""

    stock: Stock
    pieces: tuple[Wanted, ...]
    rest_mm: Decimal
    is_rest_usable: bool


@dataclass(frozen=True, slots=True)
class CuttingPlan:
    """Bars in the order of cutting.

    new_bars     how many come from new stock       bound   the least number of them that is possible
    waste_mm     rests too short to be used, and kerf
    too_long     pieces longer than any bar
    """

    bars: tuple[Bar, ...]
    new_bars: int
    bound: int
    waste_mm: Decimal
    rest_mm: Decimal
    too_long: tuple[Wanted, ...] = ()
    steps: tuple[str, ...] = ()


class NoStock(ValueError):
    """A stock length, kerf or rest that can't be."""


def cutting_plan(
    wanted: Sequence[Wanted],
    bar_mm: Decimal,
    *,
    kerf_mm: Decimal = Decimal(3),
    rests: Sequence[Stock] = (),
    usable_mm: Decimal = Decimal(300),
    heat: str = "",
) -> CuttingPlan:
    """Lay lengths into rests and new bars.

    bar_mm      the length of a new bar, of which there are as many as are needed
    kerf_mm     lost by each cut; the last piece of a bar that ends with it needs none
    rests       used first, the shortest first
    usable_mm   from here on what is left of a bar is kept
    Raises      NoStock for a bar that has no length, or a kerf under 0
    """
    if bar_mm <= 0 or kerf_mm < 0:
        raise NoStock("A bar needs a length over 0, and the kerf of the saw is 0 or more.")
    kerf = _up(kerf_mm)
    # A piece with its kerf lies in a bar that is longer by one kerf: the last cut may fall on the end.
    sizes = [_up(one.length_mm) + kerf for one in wanted]
    order = sorted(range(len(wanted)), key=lambda index: (-sizes[index], index))
    longest = max([_down(bar_mm), *(_down(one.length_mm) for one in rests)]) + kerf
    too_long = [index for index in order if sizes[index] > longest]
    left = [index for index in order if sizes[index] <= longest]
    bars: list[tuple[Stock, list[int]]] = []
    for rest in sorted(rests, key=lambda one: (one.length_mm, one.name)):
        filled = _fill(left, sizes, _down(rest.length_mm) + kerf)
        if filled:
            bars.append((rest, filled))
            left = [index for index in left if index not in set(filled)]
    capacity = _down(bar_mm) + kerf
    too_long += [index for index in left if sizes[index] > capacity]
    left = [index for index in left if sizes[index] <= capacity]
    new = _best(left, sizes, capacity)
    bars += [(Stock(f"bar {number}", bar_mm, heat), filled) for number, filled in enumerate(new, start=1)]
    bound = least_bars([sizes[index] for index in left], capacity)
    return _plan(bars, wanted, len(new), bound, kerf_mm, usable_mm, [wanted[index] for index in sorted(too_long)])


def _plan(
    bars: Sequence[tuple[Stock, list[int]]],
    wanted: Sequence[Wanted],
    new_bars: int,
    bound: int,
    kerf_mm: Decimal,
    usable_mm: Decimal,
    too_long: Sequence[Wanted],
) -> CuttingPlan:
    found = []
    for stock, filled in bars:
        pieces = tuple(wanted[index] for index in filled)
        cut = sum((one.length_mm for one in pieces), Decimal(0))
        rest = max(stock.length_mm - cut - kerf_mm * len(pieces), Decimal(0))
        found.append(Bar(stock, pieces, rest, rest >= usable_mm))
    whole = sum((one.stock.length_mm for one in found), Decimal(0))
    cut = sum((piece.length_mm for one in found for piece in one.pieces), Decimal(0))
    rest = sum((one.rest_mm for one in found if one.is_rest_usable), Decimal(0))
    # None are the fewest there can be.
    least = f"; fewer than {bound} are not possible" if bound else ""
    steps = (waste_step(whole, cut, rest, "mm"), f"new bars: {new_bars}{least}")
    return CuttingPlan(tuple(found), new_bars, bound, whole - cut - rest, rest, tuple(too_long), steps)


def waste_step(whole: Decimal, cut: Decimal, rest: Decimal, unit: str) -> str:
    """What of the stock is lost, in words; the figures add up as they are written."""
    shown = [one.quantize(Decimal("0.1")) for one in (whole, cut, rest)]
    waste = shown[0] - shown[1] - shown[2]
    share = (whole - cut - rest) / whole * 100 if whole else Decimal(0)
    stock, cut_shown, kept = (f"{one} {unit}" for one in shown)
    return f"stock {stock} - cut {cut_shown} - rests to keep {kept} = waste {waste} {unit} ({share:.1f} %)"


def _up(mm: Decimal) -> int:
    return int((mm / _TENTH).to_integral_value(ROUND_CEILING))


def _down(mm: Decimal) -> int:
    return int((mm / _TENTH).to_integral_value(ROUND_FLOOR))


# --- ways of filling bars ---


def _best(left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    """The fewest bars of some ways; the first of those that need as few."""
    bound = least_bars([sizes[index] for index in left], capacity)
    found: list[list[list[int]]] = []
    ways: tuple[_Way, ...] = (_first_fit, _fullest, _fullest_with_longest, _fullest_with_shortest, *_COUNTED)
    for way in ways:
        found.append(way(left, sizes, capacity))
        if len(found[-1]) <= bound:
            return found[-1]
    # The better ones are improved first; each from where it came to, with another number of bars at a time.
    found.sort(key=len)
    for seed, taken in enumerate(_TAKEN):
        for place, bars in enumerate(found):
            if len(found[0]) <= bound + 1:
                return found[0]
            found[place] = _improved(bars, sizes, capacity, bound, Random(seed), taken)
        found.sort(key=len)
    return found[0]


def _by_count(most: int, left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    """As many bars of most + 1 pieces as can be made, and each of the others as full as can be."""
    full = filled_by_count(left, sizes, capacity, most)
    held = {index for bar in full for index in bar}
    return [*full, *_fullest([index for index in left if index not in held], sizes, capacity)]


def _improved(
    bars: list[list[int]], sizes: Sequence[int], capacity: int, bound: int, chance: Random, count: int
) -> list[list[int]]:
    """Empty some bars and fill them anew, over and over, while that makes full bars fuller and empty ones emptier.

    chance   with a seed of its own: the same plan for the same list      count   of bars emptied at once
    """
    for _ in range(_ROUNDS):
        if len(bars) <= bound or len(bars) < count:
            break
        taken = sorted(chance.sample(range(len(bars)), count))
        pool = sorted((index for place in taken for index in bars[place]), key=lambda one: (-sizes[one], one))
        again: list[list[int]] = []
        while pool:
            if again and len(again) == count - 1 and sum(sizes[index] for index in pool) > capacity:
                break
            filled = _fill(pool, sizes, capacity, _FEW_TRIES)
            again.append(filled)
            kept = set(filled)
            pool = [index for index in pool if index not in kept]
        if not pool and _weight(again, sizes) >= _weight([bars[place] for place in taken], sizes):
            left = [bar for place, bar in enumerate(bars) if place not in set(taken)]
            bars = [*left, *again]
    return bars


def _weight(bars: Sequence[Sequence[int]], sizes: Sequence[int]) -> int:
    return sum(sum(sizes[index] for index in bar) ** 4 for bar in bars)


def _first_fit(left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    """Longest first, each into the first bar that has room."""
    bars: list[list[int]] = []
    room: list[int] = []
    for index in left:
        place = next((number for number, free in enumerate(room) if free >= sizes[index]), None)
        if place is None:
            bars.append([])
            room.append(capacity)
            place = len(bars) - 1
        bars[place].append(index)
        room[place] -= sizes[index]
    return bars


def _fullest(left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    """Each bar as full as can be."""
    rest, bars = list(left), []
    while rest:
        filled = _fill(rest, sizes, capacity)
        bars.append(filled)
        taken = set(filled)
        rest = [index for index in rest if index not in taken]
    return bars


def _fullest_with_longest(left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    return _begun_with(0, left, sizes, capacity)


def _fullest_with_shortest(left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    return _begun_with(-1, left, sizes, capacity)


def _begun_with(place: int, left: Sequence[int], sizes: Sequence[int], capacity: int) -> list[list[int]]:
    """Each bar begins with the longest, or the shortest, piece left, and is then as full as can be."""
    rest, bars = list(left), []
    while rest:
        first = rest[place]
        others = [index for index in rest if index != first]
        filled = [first, *_fill(others, sizes, capacity - sizes[first])]
        bars.append(filled)
        taken = set(filled)
        rest = [index for index in others if index not in taken]
    return bars


_COUNTED: tuple[_Way, ...] = tuple(partial(_by_count, most) for most in range(1, MOST))


def _fill(left: Sequence[int], sizes: Sequence[int], capacity: int, most: int = _TRIES) -> list[int]:
    """The set of pieces that leaves the least of one bar, looked for from the longest on; so many ways and no more.

    left   in falling length; of pieces of one length the first stands for all
    """
    # What all from here on come to: once that is not enough to do better, nothing behind it is.
    behind = [0] * (len(left) + 1)
    for place in range(len(left) - 1, -1, -1):
        behind[place] = behind[place + 1] + sizes[left[place]]
    best: list[int] = []
    best_room = capacity
    tries = 0
    chosen: list[int] = []

    def look(place: int, room: int) -> None:
        nonlocal best, best_room, tries
        if room < best_room:
            best, best_room = list(chosen), room
        last = -1
        for at in range(place, len(left)):
            if tries >= most or best_room == 0 or room - behind[at] >= best_room:
                return
            size = sizes[left[at]]
            if size > room or size == last:
                continue
            last = size
            tries += 1
            chosen.append(left[at])
            look(at + 1, room - size)
            chosen.pop()

    look(0, capacity)
    return best


# --- the bound ---


def least_bars(sizes: Sequence[int], capacity: int) -> int:
    """The number of bars that no plan can go under: the greatest of what counts and dual feasible functions give.

    Source    Fekete and Schepers, New classes of fast lower bounds for bin packing problems (2001): pieces under a part
              of the bar count nothing and those over the rest count whole (U), the others by steps of 1 / k
    """
    best = max(-(-sum(sizes) // capacity) if sizes else 0, least_by_count(sizes, capacity))
    smalls = sorted({0, *(size for size in sizes if size <= capacity // 2)})
    for small in smalls[:: max(1, len(smalls) // _THRESHOLDS)]:
        weighed = [capacity if size > capacity - small else size for size in sizes if size >= small]
        best = max(best, -(-sum(weighed) // capacity))
        counted = Counter(weighed)
        for k in range(2, _STEPS):
            # Counted in k-ths of a bar times the capacity, so that everything stays a whole number.
            total = sum(_stepped(size, k, capacity) * count for size, count in counted.items())
            best = max(best, -(-total // (k * capacity)))
    return best


def _stepped(size: int, k: int, capacity: int) -> int:
    whole, part = divmod((k + 1) * size, capacity)
    return size * k if not part else whole * capacity
