"""A fillet weld to scale: its two legs, and the throat from the corner to its face."""

from math import hypot

from reports.data import Dimension
from reports.drawing import Point, Polygon
from reports.section_marks import LETTER, SMALL, THICK, Sheet, fit

TOP, BESIDE = 26.0, 52.0
WIDE, HIGH = 150.0, 130.0
PLATE = 26.0  # how much is drawn of what the legs stand on, in px
CURVE = 16


def fillet(pipe_leg: Dimension, fitting_leg: Dimension, throat: Dimension, note: str = "") -> Sheet | None:
    """The weld between a pipe below and a fitting at its left; a throat less than the legs give makes it concave.

    None where a leg or the throat is not over 0.
    """
    across, up, deep = (float(one.value) for one in (pipe_leg, fitting_leg, throat))
    if min(across, up, deep) <= 0:
        return None
    scale = fit(across, up, wide=WIDE, high=HIGH)
    across, up, deep = across * scale, up * scale, deep * scale
    foot_x = BESIDE + len(fitting_leg.words) * SMALL * LETTER
    corner: Point = (foot_x, TOP + up)
    sheet = Sheet()
    right = foot_x + across + 46
    sheet.outline((foot_x - PLATE, TOP - 14), (foot_x, TOP - 14), corner, (foot_x - PLATE, corner[1]), hatch="left")
    floor = corner[1] + PLATE
    sheet.outline((foot_x - PLATE, corner[1]), (right, corner[1]), (right, floor), (foot_x - PLATE, floor))
    foot = _foot(corner, across, up, deep)
    sheet.shapes.append(Polygon(_face(corner, across, up, foot, deep), "section-weld", THICK))
    sheet.thin(corner, foot)
    knee = (max(foot[0] + 30, foot_x + 60), TOP - 6)
    sheet.thin(foot, knee)
    sheet.thin(knee, (knee[0] + 8, knee[1]))
    sheet.words((knee[0] + 12, knee[1] + 4), throat.words, limits=throat.limits)
    _upright(sheet, corner, up, fitting_leg)
    row = floor + 24
    sheet.dimension(foot_x, foot_x + across, floor + 4, row, pipe_leg.words, pipe_leg.limits)
    return sheet.close(row + 24, *([note] if note else []))


def _foot(corner: Point, across: float, up: float, deep: float) -> Point:
    """The point of the face that is nearest to the corner: square to the line between the two toes."""
    slope = hypot(across, up)
    return corner[0] + deep * up / slope, corner[1] - deep * across / slope


def _face(corner: Point, across: float, up: float, foot: Point, deep: float) -> tuple[Point, ...]:
    """The corner and both toes; of a concave weld the face bends inwards through the foot."""
    toes: tuple[Point, Point] = ((corner[0], corner[1] - up), (corner[0] + across, corner[1]))
    if deep >= across * up / hypot(across, up) - 0.01:
        return (corner, *toes)
    pull = (2 * foot[0] - (toes[0][0] + toes[1][0]) / 2, 2 * foot[1] - (toes[0][1] + toes[1][1]) / 2)
    shares = [step / CURVE for step in range(CURVE + 1)]
    bend = (
        tuple(
            (1 - share) ** 2 * toes[0][axis] + 2 * share * (1 - share) * pull[axis] + share**2 * toes[1][axis]
            for axis in (0, 1)
        )
        for share in shares
    )
    return (corner, *((x, y) for x, y in bend))


def _upright(sheet: Sheet, corner: Point, up: float, leg: Dimension) -> None:
    """The dimension of the upright leg, left of what it stands on, its words in a row above the line's foot."""
    x, tick = corner[0] - PLATE - 14, 3.0
    for y in (corner[1], corner[1] - up):
        sheet.thin((corner[0] - PLATE - 4, y), (x - 4, y))
        sheet.thin((x - tick, y + tick), (x + tick, y - tick))
    sheet.thin((x, corner[1]), (x, corner[1] - up))
    sheet.words((x - 8, corner[1] - up / 2 + 4), leg.words, "end", size=SMALL, limits="")
