"""Section of a butt weld: two pipe ends with their bevels, the root face and the root opening between them."""

from math import radians, tan

from reports.data import SectionData
from reports.section_marks import CENTRE_NOTE, ROW, WIDTH, Sheet, fit

TYPICAL_BEVEL = 37.5  # degrees of each side; common practice, no source: the drawing says "typical"
TYPICAL_LAND = 0.2  # of the thinner wall, at most the 1.6 mm of common practice when lengths are mm
TOP = 56.0
HIGH = 84.0


def butt(data: SectionData) -> Sheet:
    """The section; an unknown root opening is left out, a bevel not given is drawn at 37.5 degrees, marked typical."""
    wall = float(data.pipe_wall.value)
    other = float(data.other_wall.value) if data.other_wall else wall
    gap = float(data.gap.value) if data.gap else 0.0
    thin = min(wall, other)
    land = min(float(data.land.value), thin * 0.9) if data.land else thin * TYPICAL_LAND
    angle = float(data.bevel_degrees) if data.bevel_degrees is not None else TYPICAL_BEVEL
    slope = tan(radians(min(max(angle, 0.0), 60.0)))
    run = 2.2 * max(wall, other) + max(wall, other) * slope  # length of pipe shown on each side
    scale = fit(2 * run + gap, max(wall, other), wide=WIDTH - 40, high=HIGH)

    sheet = Sheet()
    middle = WIDTH / 2
    inside = TOP + max(wall, other) * scale
    half = gap * scale / 2
    for side, thickness, hatch in ((-1, wall, "right"), (1, other, "left")):
        root = middle + side * half
        top = inside - thickness * scale
        shoulder = root + side * (thickness - land) * slope * scale
        far = middle + side * (half + run * scale)
        sheet.outline(
            (far, top), (shoulder, top), (root, inside - land * scale), (root, inside), (far, inside), hatch=hatch
        )
    _cap(sheet, middle, half, inside, scale, wall, other, land, slope)
    _words(sheet, data, middle, half + run * scale, inside, wall * scale, other * scale)
    return _dimensions(sheet, data, middle, half, inside)


def _cap(
    sheet: Sheet,
    middle: float,
    half: float,
    inside: float,
    scale: float,
    wall: float,
    other: float,
    land: float,
    slope: float,
) -> None:
    """The weld to be made, dashed, with a low cap and a low root."""
    left = (middle - half - (wall - land) * slope * scale, inside - wall * scale)
    right = (middle + half + (other - land) * slope * scale, inside - other * scale)
    crown = min(left[1], right[1]) - min(0.12 * max(wall, other) * scale, 6)
    shapes = (left, ((left[0] * 2 + right[0]) / 3, crown), ((left[0] + right[0] * 2) / 3, crown), right)
    corner = inside - land * scale
    root = ((middle + half, inside), (middle, inside + 3), (middle - half, inside))
    sheet.dashed(*shapes, (middle + half, corner), *root, (middle - half, corner))


def _words(
    sheet: Sheet, data: SectionData, middle: float, reach: float, inside: float, wall: float, other: float
) -> None:
    angle = float(data.bevel_degrees) if data.bevel_degrees is not None else TYPICAL_BEVEL
    typical = "" if data.bevel_degrees is not None else " typical"
    sheet.words((middle, 18), f"{2 * angle:g}° included{typical}", "middle")
    for side, height, anchor, dimension in ((-1, wall, "start", data.pipe_wall), (1, other, "end", data.other_wall)):
        if dimension:
            sheet.words((middle + side * reach, inside - height - 8), dimension.words, anchor)


def _dimensions(sheet: Sheet, data: SectionData, middle: float, half: float, inside: float) -> Sheet:
    sheet.centre_line(inside + 16)
    row = inside + 44
    if data.gap:
        sheet.dimension(middle - half, middle + half, inside + 5, row, data.gap.words, data.gap.limits)
        row += ROW
    if data.land:
        sheet.words((middle + half + 12, row + 2), data.land.words, limits=data.land.limits)
        row += ROW
    return sheet.close(row + 4, CENTRE_NOTE, *data.notes)
