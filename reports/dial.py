"""The dial: starts and stops of passes on a clock face, 12 at the top of the pipe, seen in the direction of flow."""

from collections.abc import Sequence
from decimal import Decimal

from reports.data import DialPass, DialSegment
from reports.drawing import Arc, Circle, Line, Shape, Words, clock_point
from reports.svg import svg

CENTRE = (110.0, 110.0)
OUTER, INNER = 84.0, 36.0
SHOWN = 8  # passes drawn; the words say when earlier ones are left out
KEY_LEFT = 226.0
KEY_STEP = 21.0


def dial_svg(passes: Sequence[DialPass], *, size: float = 220, title: str = "") -> str:
    """The passes as concentric bands, the root innermost, each numbered at its start and barred at its stop.

    passes    in order; their last eight are drawn
    size      height in px
    """
    shapes = _face()
    drawn = list(passes)[-SHOWN:]
    step = min(16.0, (OUTER - INNER) / max(len(drawn) - 1, 1))
    inner = OUTER - 7 - step * (len(drawn) - 1)
    badges: list[Shape] = []  # last, so that no band or bar runs over a number
    for place, item in enumerate(drawn):
        for segment in item.segments:
            shapes += _band(segment, inner + step * place, step)
            badges += _badge(item, segment, inner + step * place, step)
    shapes += badges
    key = _key(drawn)
    height = max(220.0, 44 + KEY_STEP * len(key))
    for row, line in enumerate(key):
        shapes.append(Words((KEY_LEFT, 46 + KEY_STEP * row), line, 12, ink="dial-words"))
    width = KEY_LEFT + max((6.9 * len(line) for line in key), default=-6.0) + 6
    words = "; ".join(dial_words(passes)) or "No pass recorded"
    return svg(
        shapes, width=width, height=height, title=f"{title}: {words}" if title else words, kind="dial", size=size
    )


def dial_words(passes: Sequence[DialPass]) -> list[str]:
    """One sentence a segment: "Pass 1 root, A1: from 3 o'clock all round"."""
    return [
        f"Pass {item.order} {item.role}, {segment.stamp or 'no stamp'}: {_course(segment)}"
        for item in passes
        for segment in item.segments
    ]


def clock_words(hours: Decimal) -> str:
    """A place on the clock face as the trade says it: 3, 4:30, 12."""
    minutes = int((hours * 60).to_integral_value()) % 720
    hour, rest = divmod(minutes, 60)
    return f"{hour or 12}:{rest:02d}" if rest else f"{hour or 12}"


def _course(segment: DialSegment) -> str:
    if (segment.stop - segment.start) % 12 == 0:
        return f"from {clock_words(segment.start)} o'clock all round"
    return f"from {clock_words(segment.start)} clockwise to {clock_words(segment.stop)} o'clock"


def _face() -> list[Shape]:
    shapes: list[Shape] = [Circle(CENTRE, OUTER + 6, "dial-line", 0.8)]
    for hour in range(12):
        long = 7 if hour % 3 == 0 else 4
        outer = clock_point(CENTRE, OUTER + 6, 30 * hour)
        shapes.append(Line(outer, clock_point(CENTRE, OUTER + 6 - long, 30 * hour), "dial-line", 0.8))
    for hour, (dx, dy, anchor) in {
        12: (0, -4, "middle"),
        3: (4, 4, "start"),
        6: (0, 13, "middle"),
        9: (-4, 4, "end"),
    }.items():
        x, y = clock_point(CENTRE, OUTER + 6, 30 * hour)
        shapes.append(Words((x + dx, y + dy), str(hour), 12, anchor, "plain", "dial-words"))
    return shapes


def _band(segment: DialSegment, radius: float, step: float) -> list[Shape]:
    start = float(segment.start) % 12 * 30
    sweep = float(segment.stop - segment.start) % 12 * 30
    width = step * 0.36
    if not sweep:
        return [Circle(CENTRE, radius, "dial-pass", width)]
    stop, reach = start + sweep, step * 0.44
    bar = (clock_point(CENTRE, radius - reach, stop), clock_point(CENTRE, radius + reach, stop))
    return [Arc(CENTRE, radius, start, sweep, "dial-pass", width), Line(*bar, "dial-stop", 2.4)]


def _badge(item: DialPass, segment: DialSegment, radius: float, step: float) -> list[Shape]:
    x, y = clock_point(CENTRE, radius, float(segment.start) % 12 * 30)
    size, text = step * 0.44, step * 0.58
    return [
        Circle((x, y), size, "dial-paper"),
        Circle((x, y), size, "dial-start", 1.2),
        Words((x, y + text * 0.36), str(item.order), text, "middle", "bold", "dial-words"),
    ]


def _key(passes: Sequence[DialPass]) -> list[str]:
    lines = []
    for item in passes:
        for segment in item.segments:
            whole = (segment.stop - segment.start) % 12 == 0
            course = (
                f"{clock_words(segment.start)} all round"
                if whole
                else (f"{clock_words(segment.start)} to {clock_words(segment.stop)}")
            )
            lines.append(f"{item.order} {item.role}  {segment.stamp or 'no stamp'}  {course}")
    return lines
