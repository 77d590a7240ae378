"""What lies round a pipe, seen along it with 12 o'clock on top: the gap at four readings, the stops of its passes."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from math import cos, radians, sin

from reports.data import Dimension
from reports.drawing import Circle, Words, clock_point
from reports.section_marks import THICK, THIN, WIDTH, Sheet

CENTRE = (WIDTH / 2, 122.0)
PIPE, BAND = 58.0, 22.0
OUTER, INNER = 84.0, 30.0
MOST_PASSES = 5  # more leave no room for their numbers
STEP, DOT = 5, 3.0


def gap_round(readings: Mapping[str, Dimension]) -> Sheet | None:
    """The pipe, and round it the gap as a plane end has it, drawn wider than it is; None where there is no gap.

    readings    at 12, 3, 6 and 9 o'clock, with the words that stand beside each
    """
    top, right, bottom, left = (float(readings[clock].value) for clock in ("12", "3", "6", "9"))
    most = max(top, right, bottom, left)
    if most <= 0:
        return None
    mean, a, b = (top + right + bottom + left) / 4, (top - bottom) / 2, (right - left) / 2
    sheet = Sheet()
    sheet.shapes.append(Circle(CENTRE, PIPE, "section-line", THICK))
    turns = [radians(turn) for turn in range(0, 360, STEP)]
    gaps = [max(0.0, mean + a * cos(turn) + b * sin(turn)) for turn in turns]
    scale = BAND / max(*gaps, most)
    reaches = [(PIPE + gap * scale, turn) for gap, turn in zip(gaps, turns, strict=True)]
    sheet.dashed(*((CENTRE[0] + reach * sin(turn), CENTRE[1] - reach * cos(turn)) for reach, turn in reaches))
    for clock, anchor, dx, dy in (
        ("12", "middle", 0, -6),
        ("3", "start", 6, 4),
        ("6", "middle", 0, 16),
        ("9", "end", -6, 4),
    ):
        x, y = clock_point(CENTRE, PIPE + BAND, float(clock) * 30)
        if readings[clock].words:
            sheet.words((x + dx, y + dy), readings[clock].words, anchor)
    return sheet.close(
        CENTRE[1] + PIPE + BAND + 36, "The gap at the pipe's end, laid outward and drawn wider than it is."
    )


def stops_round(passes: Sequence[Sequence[Decimal]]) -> Sheet | None:
    """The stops of each pass on a ring of its own, the first innermost, numbered; None for more passes than fit.

    passes    degrees clockwise from 12 o'clock, pass by pass
    """
    if not 1 < len(passes) <= MOST_PASSES:
        return None
    sheet, step = Sheet(), (OUTER - INNER) / (len(passes) - 1)
    size = min(10.5, step - 6)
    for place, stops in enumerate(passes):
        radius = INNER + step * place
        sheet.shapes.append(Circle(CENTRE, radius, "section-thin", THIN))
        for stop in stops:
            sheet.shapes.append(Circle(clock_point(CENTRE, radius, float(stop)), DOT, "section-line"))
            x, y = clock_point(CENTRE, radius - DOT - size * 0.6, float(stop))
            sheet.shapes.append(Words((x, y + size * 0.36), str(place + 1), size, "middle", "bold"))
    for clock, anchor, dx, dy in ((12, "middle", 0, -5), (3, "start", 5, 4), (6, "middle", 0, 14), (9, "end", -5, 4)):
        x, y = clock_point(CENTRE, OUTER + 10, clock * 30)
        sheet.words((x + dx, y + dy), str(clock), anchor)
    return sheet.close(CENTRE[1] + OUTER + 40, "Pass 1 is the innermost ring.")
