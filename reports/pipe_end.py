"""The end of a pipe to scale: its outside diameter and its wall."""

from math import cos, radians, sin

from reports.data import Dimension
from reports.drawing import Circle, Point
from reports.section_marks import THICK, WIDTH, Sheet, hatched

RADIUS = 84.0
TOP = 18.0
STEPS = 72


def pipe_end(od: Dimension, wall: Dimension) -> Sheet | None:
    """The cut face, hatched, with both dimensions; None where the wall leaves no bore."""
    outer, inner = float(od.value) / 2, float(od.value) / 2 - float(wall.value)
    if not 0 < inner < outer:
        return None
    scale = RADIUS / outer
    sheet = Sheet()
    centre = (RADIUS + 24, TOP + RADIUS)
    sheet.shapes += hatched((*_round(centre, RADIUS), *reversed(_round(centre, inner * scale))), leaning=1)
    for radius in (RADIUS, inner * scale):
        sheet.shapes.append(Circle(centre, radius, "section-line", THICK))
    _centre_lines(sheet, centre)
    knee = (centre[0] + RADIUS + 22, centre[1] - RADIUS * 0.72)
    middle = (outer + inner) / 2 * scale
    turn = radians(50)
    sheet.thin((centre[0] + middle * sin(turn), centre[1] - middle * cos(turn)), knee)
    sheet.thin(knee, (knee[0] + 8, knee[1]))
    sheet.words((knee[0] + 12, knee[1] + 4), wall.words)
    row = centre[1] + RADIUS + 28
    sheet.dimension(centre[0] - RADIUS, centre[0] + RADIUS, centre[1] + 4, row, od.words)
    sheet.width = max(sheet.width, WIDTH)
    return sheet.close(row + 14)


def _round(centre: Point, radius: float) -> tuple[Point, ...]:
    turns = (radians(360 * step / STEPS) for step in range(STEPS + 1))
    return tuple((centre[0] + radius * sin(turn), centre[1] - radius * cos(turn)) for turn in turns)


def _centre_lines(sheet: Sheet, centre: Point) -> None:
    x, y = centre
    reach = RADIUS + 8
    sheet.thin((x - reach, y), (x + reach, y), (14, 3, 3, 3))
    sheet.thin((x, y - reach), (x, y + reach), (14, 3, 3, 3))
