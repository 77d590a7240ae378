"""The curve of progress: what was planned, what is done and what is to come, week by week, as shapes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import floor, log10

from reports.drawing import Line, Point, Polygon, Shape, Words
from reports.letters import width
from reports.svg import svg

LETTER = 12.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 10.0, 26.0, 24.0
_KEY = 20.0
_DASH, _DOTS = (7.0, 4.0), (2.0, 4.0)
_APART = 62.0  # between two dates under the curve


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """The end of one week: cumulative quantities, None where there is nothing to say."""

    day: date
    planned: float | None = None
    done: float | None = None
    low: float | None = None
    likely: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class CurveData:
    """The weeks in order, the whole quantity, its unit, and today."""

    points: tuple[CurvePoint, ...]
    whole: float
    unit: str
    today: date


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its size and what it says in words, for those who do not see it."""

    shapes: tuple[Shape, ...]
    width: float
    height: float
    title: str


def curve(data: CurveData, title: str, *, wide: float = 760.0, high: float = 340.0) -> Picture:
    """Draw the curve in `wide` by `high` units; its letters are LETTER units high whatever its size.

    Raises ValueError without a week to draw
    """
    if not data.points:
        raise ValueError("A curve takes one week at least.")
    key, rows = _key(data, wide)
    plot = _Plot(data, wide, high, top=_TOP + rows * _KEY)
    return Picture((*key, *plot.shapes()), wide, high, title)


def picture_svg(picture: Picture, kind: str) -> str:
    """A picture as an inline SVG of the class `kind`, as wide as its room."""
    return svg(picture.shapes, width=picture.width, height=picture.height, title=picture.title, kind=kind)


class _Plot:
    """The field of the curve and the places in it."""

    def __init__(self, data: CurveData, wide: float, high: float, top: float) -> None:
        self.data = data
        self.left, self.right, self.top, self.bottom = _LEFT, wide - _RIGHT, top, high - _BOTTOM
        self.first = data.points[0].day - timedelta(days=7)  # where the first week begins
        self.days = (data.points[-1].day - self.first).days
        self.steps = _steps(data.whole)

    def at(self, day: date, value: float) -> Point:
        """The place of a quantity on a day."""
        share = min(1.0, max(0.0, (day - self.first).days / self.days))
        x = self.left + (self.right - self.left) * share
        return x, self.bottom - (self.bottom - self.top) * value / self.steps[-1]

    def shapes(self) -> Iterator[Shape]:
        """Everything of the field, what lies under first."""
        points = self.data.points
        yield from self._band([one for one in points if one.low is not None])
        yield from self._grid()
        yield from self._today()
        yield from self._stroke([(one.day, one.planned) for one in points], "curve-plan", 1.6, _DASH)
        yield from self._stroke([(one.day, one.likely) for one in points], "curve-likely", 1.8, _DOTS)
        yield from self._stroke([(one.day, one.done) for one in points], "curve-done", 2.8, ())

    def _band(self, points: Sequence[CurvePoint]) -> Iterator[Shape]:
        done = [(one.day, one.done) for one in self.data.points if one.done is not None]
        if not points:
            return
        begin = [self.at(self._start(points[0].day), _before(done, points[0].day))]
        upper = [self.at(one.day, one.high or 0.0) for one in points]
        lower = [self.at(one.day, one.low or 0.0) for one in reversed(points)]
        yield Polygon((*begin, *upper, *lower), "curve-band", filled=True)

    def _stroke(
        self, values: Sequence[tuple[date, float | None]], ink: str, thick: float, dash: tuple[float, ...]
    ) -> Iterator[Shape]:
        known = [(min(day, self.data.today) if ink == "curve-done" else day, value) for day, value in values
                 if value is not None]  # fmt: skip
        if not known:
            return
        start = self._start(known[0][0]) if ink == "curve-likely" else self.first
        base = 0.0
        if ink == "curve-likely":
            base = _before([(one.day, one.done) for one in self.data.points if one.done is not None], known[0][0])
        path = [self.at(start, base), *(self.at(day, value) for day, value in known)]
        yield Polygon(tuple(path), ink, thick, closed=False, dash=dash)

    def _start(self, day: date) -> date:
        return max(self.first, day - timedelta(days=7))

    def _grid(self) -> Iterator[Shape]:
        for value in self.steps:
            level = self.at(self.first, value)[1]
            yield Line((self.left, level), (self.right, level), "curve-thin", 1.2 if value == 0 else 0.5)
            yield Words((self.left - 6, level + 4), f"{value:,.0f}", LETTER, "end", ink="curve-words")
        yield Words((4, self.top - 12), self.data.unit, LETTER, ink="curve-words")
        for day, words in _dates(self.first, self.data.points[-1].day, self.right - self.left):
            x = self.at(day, 0)[0]
            yield Line((x, self.bottom), (x, self.bottom + 5), "curve-thin", 1.2)
            if x + width(words, LETTER) <= self.right + _RIGHT:
                yield Words((x, self.bottom + 18), words, LETTER, ink="curve-words")

    def _today(self) -> Iterator[Shape]:
        x, _ = self.at(self.data.today, 0)
        yield Line((x, self.top), (x, self.bottom), "curve-thin", 1.0, (3.0, 3.0))
        half = width("today", LETTER) / 2
        middle = min(max(x, self.left + half + width(self.data.unit, LETTER)), self.right - half)
        yield Words((middle, self.top - 12), "today", LETTER, "middle", ink="curve-words")


def _before(done: Sequence[tuple[date, float | None]], day: date) -> float:
    """What was done at the end of the week before this one ends."""
    return max((value or 0.0 for one, value in done if one < day), default=0.0)


def _key(data: CurveData, wide: float) -> tuple[list[Shape], int]:
    """The strokes with their words, in as many rows as they take."""
    ahead = any(one.likely is not None for one in data.points)
    entries: tuple[tuple[str, str, tuple[float, ...], bool], ...] = (
        ("planned", "curve-plan", _DASH, any(one.planned is not None for one in data.points)),
        ("welded", "curve-done", (), True),
        ("likely to come", "curve-likely", _DOTS, ahead),
        ("8 of 10 runs", "curve-band", (), ahead),
    )
    shapes: list[Shape] = []
    x, row = 4.0, 0
    for words, ink, dash, is_shown in entries:
        room = 34 + width(words, LETTER)
        if not is_shown:
            continue
        if x + room > wide:
            x, row = 4.0, row + 1
        y = 8 + row * _KEY
        if ink == "curve-band":
            corners = ((x, y - 6), (x + 28, y - 6), (x + 28, y + 6), (x, y + 6))
            shapes.append(Polygon(corners, ink, filled=True))
        else:
            shapes.append(Line((x, y), (x + 28, y), ink, 2.8 if ink == "curve-done" else 1.8, dash))
        shapes.append(Words((x + 34, y + 4), words, LETTER))
        x += room + 22
    return shapes, row + 1


def _steps(whole: float) -> list[float]:
    """The figures beside the curve: from nothing in round steps to the whole or just beyond."""
    rough = max(whole, 1.0) / 5
    size = 10.0 ** floor(log10(rough))
    step = max(1.0, next(size * of for of in (1, 2, 2.5, 5, 10) if size * of >= rough))
    steps = [0.0]
    while steps[-1] < whole:
        steps.append(steps[-1] + step)
    return steps if len(steps) > 1 else [0.0, step]


def _dates(first: date, last: date, room: float) -> Iterator[tuple[date, str]]:
    """Days to name under the curve, as many as there is room for: Mondays, else the first of months."""
    count = max(1, floor(room / _APART))
    weeks = (last - first).days / 7
    if weeks <= count:
        day = first + timedelta(days=1)
        while day <= last:
            yield day, f"{day.day} {day:%b}"
            day += timedelta(days=7)
        return
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    every = next(one for one in (1, 2, 3, 6, 12, 24, 60, 120) if months / one <= count)
    named = False
    for month in range(first.year * 12 + first.month - 1, last.year * 12 + last.month):
        day = date(month // 12, month % 12 + 1, 1)
        if first <= day <= last and month % every == 0:
            yield day, f"{day:%b %Y}" if every > 1 or not named or day.month == 1 else f"{day:%b}"
            named = True
