"""The ranges of a procedure as bars and cells, and on them what the joints of a job need."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from reports.drawing import Circle, Line, Polygon, Shape, Words
from reports.letters import width
from reports.progress_curve import Picture

LETTER = 12.0
_ROW, _BAR, _GAP = 20.0, 14.0, 14.0
_PAD = 8.0

# Each cell: its name, whether it is covered, how many joints need it, and whether one that needs it is not covered.
CELLS = tuple[tuple[str, bool, int, bool], ...]


@dataclass(frozen=True, slots=True)
class Tick:
    """So many joints of one size, and whether the range leaves one of them out."""

    value: float
    words: str
    joints: int
    is_outside: bool


@dataclass(frozen=True, slots=True)
class BarRow:
    """A range between two sizes in mm, open where one is None, with the sizes that joints have."""

    name: str
    least: float | None
    greatest: float | None
    least_words: str
    greatest_words: str
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True)
class CellRow:
    """A range that is a choice among names."""

    name: str
    cells: CELLS


@dataclass(frozen=True, slots=True)
class RangeData:
    """The rows of the picture."""

    bars: tuple[BarRow, ...]
    cells: tuple[CellRow, ...]


def range_picture(data: RangeData, title: str, *, wide: float) -> Picture:
    """Draw the rows under each other in `wide` units; a phone gets a narrow one with letters of the same height."""
    shapes: list[Shape] = []
    level = 0.0
    for bar in data.bars:
        drawn, high = _bar(bar, level, wide)
        shapes += drawn
        level += high + _GAP
    for row in data.cells:
        if row.cells:
            drawn, high = _cells(row, level, wide)
            shapes += drawn
            level += high + _GAP
    return Picture(tuple(shapes), wide, level, title)


def _bar(row: BarRow, top: float, wide: float) -> tuple[list[Shape], float]:
    """A bar as long as the range; open ends end in an arrow; joints stand over it as pins, those left out crossed."""
    shapes: list[Shape] = [Words((0, top + LETTER), row.name, LETTER, face="bold", ink="range-words")]
    ends = [one for one in (row.least, row.greatest) if one is not None]
    known = [*ends, *(tick.value for tick in row.ticks)]
    if not ends:
        told = f"not restricted{_sizes(row)}"
        return [*shapes, Words((0, top + _ROW + LETTER), told, LETTER, ink="range-words")], _ROW * 2
    low, high = min(known), max(known)
    low, high = (0.0, high * 1.15) if row.least is None or low < high * 0.3 else (low * 0.7, high * 1.15)
    left, right = 4.0, wide - 4.0

    def at(value: float) -> float:
        return left + (right - left) * (value - low) / (high - low)

    base = top + _ROW * 2 + 8
    begin = at(row.least) if row.least is not None else left
    end = at(row.greatest) if row.greatest is not None else right
    corners = ((begin, base), (end, base), (end, base + _BAR), (begin, base + _BAR))
    shapes.append(Polygon(corners, "range-bar", filled=True))
    shapes.append(Line((left, base + _BAR), (right, base + _BAR), "range-thin", 1.0))
    for edge, is_known in ((begin, row.least is not None), (end, row.greatest is not None)):
        if is_known:
            shapes.append(Line((edge, base - 3), (edge, base + _BAR + 3), "range-line", 2.0))
    if row.greatest is None:
        tip = base + _BAR / 2
        shapes.append(Polygon(((right - 10, tip - 5), (right, tip), (right - 10, tip + 5)), "range-line", filled=True))
    shapes += _edge_words(row, begin, end, base + _BAR + LETTER + 5, wide)
    for tick in row.ticks:
        shapes += _pin(at(tick.value), base, tick)
    shapes += _pin_words(row, at, base - 14, wide)
    return shapes, base + _BAR + LETTER + 8 - top


def _sizes(row: BarRow) -> str:
    if not row.ticks:
        return ""
    first, last = row.ticks[0], row.ticks[-1]
    return f"; joints have {first.words}" + (f" to {last.words}" if last is not first else "")


def _edge_words(row: BarRow, begin: float, end: float, level: float, wide: float) -> Iterator[Shape]:
    """What the ends are, under the bar, kept apart from each other."""
    taken = 0.0
    if row.least is not None:
        room = width(row.least_words, LETTER)
        x = min(max(begin - room / 2, 0.0), wide - room)
        yield Words((x, level), row.least_words, LETTER, ink="range-words")
        taken = x + room + _PAD
    if row.greatest is not None:
        room = width(row.greatest_words, LETTER)
        x = min(max(end - room / 2, taken), wide - room)
        if x >= taken:
            yield Words((x, level), row.greatest_words, LETTER, ink="range-words")
        else:
            yield Words((x, level + LETTER + 2), row.greatest_words, LETTER, ink="range-words")


def _pin(x: float, base: float, tick: Tick) -> Iterator[Shape]:
    ink = "range-out" if tick.is_outside else "range-line"
    yield Line((x, base - 6), (x, base + _BAR), ink, 1.6)
    if tick.is_outside:
        yield Line((x - 5, base - 11), (x + 5, base - 1), ink, 2.0)
        yield Line((x - 5, base - 1), (x + 5, base - 11), ink, 2.0)
    else:
        yield Circle((x, base - 7), 3.5, ink)


def _pin_words(row: BarRow, at: Callable[[float], float], level: float, wide: float) -> Iterator[Shape]:
    """How many joints each pin stands for, as many as there is room for; those left out first."""
    taken: list[tuple[float, float]] = []
    for tick in sorted(row.ticks, key=lambda one: (not one.is_outside, -one.joints)):
        words = f"{tick.words}: {tick.joints}"
        room = width(words, LETTER)
        x = min(max(at(tick.value) - room / 2, 0.0), wide - room)
        if all(x + room + _PAD <= start or x >= end + _PAD for start, end in taken):
            taken.append((x, x + room))
            yield Words((x, level), words, LETTER, ink="range-out" if tick.is_outside else "range-words")


def _cells(row: CellRow, top: float, wide: float) -> tuple[list[Shape], float]:
    """A box for each name: filled where it is covered, dashed where not; the number of joints that need it."""
    shapes: list[Shape] = [Words((0, top + LETTER), row.name, LETTER, face="bold", ink="range-words")]
    x, level = 1.0, top + _ROW
    for name, is_covered, joints, is_outside in row.cells:
        words = f"{name}: {joints}" if joints else name
        room = width(words, LETTER) + 2 * _PAD
        if x + room > wide and x > 1.0:
            x, level = 1.0, level + _ROW + 8
        corners = ((x, level), (x + room, level), (x + room, level + _ROW), (x, level + _ROW))
        if is_covered:
            shapes.append(Polygon(corners, "range-bar", filled=True))
            shapes.append(Polygon(corners, "range-line", 1.2))
        else:
            shapes.append(Polygon(corners, "range-out" if is_outside else "range-thin", 1.2, dash=(4.0, 3.0)))
        ink = "range-out" if is_outside else "range-words"
        shapes.append(Words((x + _PAD, level + LETTER + 2), words, LETTER, ink=ink))
        if is_outside:
            shapes.append(Line((x, level + _ROW), (x + room, level), "range-out", 1.2))
        x += room + _PAD
    return shapes, level + _ROW - top
