"""The pipe between two fittings to scale: centre line, take-outs, openings, and the piece to cut."""

from dataclasses import dataclass
from math import pi, sin

from reports.data import Dimension
from reports.drawing import Line, Point, Polygon
from reports.fitting_outline import PieceEnd, behind, face_of, outline, rise_of, thickness
from reports.section_marks import LETTER, TEXT, THICK, Sheet

WIDTH = 480.0
EDGE = 14.0
OD = 40.0  # the pipe's greatest diameter on the drawing, in px
REACH = 78.0  # and how far a fitting may reach from its centre
TOP = 20.0
ROW = 24.0
BREAK = 10.0

Shown = tuple[Dimension | None, float, float]  # a dimension, and where it begins and ends


@dataclass(frozen=True, slots=True)
class CutPiece:
    """What is drawn; lengths share one unit."""

    centre: Dimension
    length: Dimension
    od: Dimension
    ends: tuple[PieceEnd, PieceEnd]


def cut_piece(data: CutPiece) -> Sheet | None:
    """The drawing; a long pipe is broken in the middle, and a note says so. None for lengths that are not positive."""
    od, length = float(data.od.value), float(data.length.value)
    if od <= 0 or length <= 0 or float(data.centre.value) <= 0:
        return None
    scale = min(OD / od, *(REACH / max(face_of(one), od) for one in data.ends))
    half = od * scale / 2
    sheet = Sheet(width=WIDTH)
    rise = max(rise_of(one, half, scale) for one in data.ends)
    axis = TOP + max(rise, half * 1.6) + 4
    left = EDGE + behind(data.ends[0], half, scale)
    right = WIDTH - EDGE - behind(data.ends[1], half, scale)
    is_broken = float(data.centre.value) * scale > right - left
    is_short = not is_broken and float(data.length.value) * scale < _room(data)
    if not is_broken:
        spare = (right - left - float(data.centre.value) * scale) / 2
        left, right = (left, right - 2 * spare) if is_short else (left + spare, right - spare)
    places = [
        _drawn_end(sheet, one, place, way, axis, half, scale)
        for one, place, way in ((data.ends[0], left, 1), (data.ends[1], right, -1))
    ]
    _pipe(sheet, data, places, axis, half, is_broken)
    sheet.thin((left, axis), (right, axis), (14, 3, 3, 3))
    edge = right + behind(data.ends[1], half, scale) if is_short else 0.0
    bottom = _dimensions(sheet, data, (left, right), places, axis + half * 1.6 + 8, edge)
    return sheet.close(bottom, *(["The pipe is shortened in the middle; the rest is to scale"] if is_broken else []))


def _drawn_end(sheet: Sheet, one: PieceEnd, place: float, way: int, axis: float, half: float, scale: float) -> float:
    """Draw a fitting at its centre, its pipe going `way` (1 right, -1 left); return where the pipe begins."""
    if shape := outline(one, thickness(one, half), scale):
        points = tuple((place + way * x, axis - y) for x, y in shape)
        sheet.shapes.append(Polygon(points, "section-line", THICK))
    takeout = place + way * float(one.takeout.value) * scale
    return takeout + way * (float(one.opening.value) * scale if one.opening else 0.0)


def _pipe(sheet: Sheet, data: CutPiece, places: list[float], axis: float, half: float, is_broken: bool) -> None:
    """The piece: solid where it is seen, dashed in its sockets, broken in the middle where it is too long."""
    start, stop = places
    scale = half * 2 / float(data.od.value)
    hidden = [_inside(one) * scale for one in data.ends]
    seen = (start + hidden[0], stop - hidden[1])
    middle = (start + stop) / 2
    for y in (axis - half, axis + half):
        for x1, x2 in ((start, seen[0]), (seen[1], stop)):
            if x2 > x1 + 0.5:
                sheet.shapes.append(Line((x1, y), (x2, y), "section-line", 1.0, (4, 2.5)))
        spans = ((seen[0], middle - BREAK / 2), (middle + BREAK / 2, seen[1])) if is_broken else (seen,)
        for x1, x2 in spans:
            sheet.shapes.append(Line((x1, y), (x2, y), "section-line", THICK))
    for x, inside in zip(places, hidden, strict=True):
        dash = (4.0, 2.5) if inside else ()
        sheet.shapes.append(Line((x, axis - half), (x, axis + half), "section-line", 1.0 if inside else THICK, dash))
    if is_broken:
        for x in (middle - BREAK / 2, middle + BREAK / 2):
            wave = tuple((x + 3 * sin(pi * step / 6), axis - half + 2 * half * step / 12) for step in range(13))
            sheet.shapes.append(Polygon(wave, "section-thin", 0.9, closed=False))


def _inside(one: PieceEnd) -> float:
    """How far the pipe goes into its socket."""
    return max(0.0, float(one.depth.value) - float(one.opening.value)) if one.depth and one.opening else 0.0


def _dimensions(sheet: Sheet, data: CutPiece, centres: Point, places: list[float], top: float, edge: float) -> float:
    """Rows below: take-outs, openings, the piece, and centre to centre; return where notes may begin."""
    row = top + ROW
    bottoms = [_bottom(one, *at) for one, *at in zip(data.ends, centres, places, strict=True)]
    taken = [one.takeout if one.takeout.value > 0 else None for one in data.ends]
    row = _pair(sheet, list(zip(taken, centres, bottoms, strict=True)), places, top, row, edge)
    openings = [one.opening for one in data.ends]
    row = _pair(sheet, list(zip(openings, bottoms, places, strict=True)), places, top, row, edge)
    row += 0 if edge else 6
    _between(sheet, places[0], places[1], top, row, data.length, edge)
    row += ROW + (0 if edge else 6)
    _between(sheet, centres[0], centres[1], top, row, data.centre, edge)
    return row + 22


def _room(data: CutPiece) -> float:
    """What the words between the ends of the piece need, in px."""
    rows = [[one.takeout for one in data.ends], [one.opening for one in data.ends if one.opening], [data.length]]
    return max(sum(len(one.words) for one in row) for row in rows) * TEXT * LETTER + 44


def _bottom(one: PieceEnd, centre: float, place: float) -> float:
    """Where the take-out ends and the opening begins."""
    takeout, opening = float(one.takeout.value), float(one.opening.value) if one.opening else 0.0
    whole = takeout + opening
    return centre + (place - centre) * (takeout / whole if whole else 0.0)


def _pair(sheet: Sheet, shown: list[Shown], places: list[float], top: float, row: float, edge: float) -> float:
    """A dimension at each end, its words on the inner side; of a short piece each in a row, words right of it all.

    edge   where the drawing ends, for the words of a short piece; 0 where there is room inside
    Returns the next row
    """
    drawn = 0
    for (one, near, far), place, way in zip(shown, places, (1, -1), strict=True):
        if one is None:
            continue
        row += ROW if drawn and edge else 0
        drawn += 1
        left, right = min(near, far), max(near, far)
        _line(sheet, left, right, top, row)
        if edge:
            sheet.thin((right, row), (edge + 8, row))
            sheet.words((edge + 12, row + 4), one.words)
        else:
            sheet.words((place + way * 14, row + 4), one.words, "start" if way > 0 else "end")
    return row + ROW if drawn else row


def _between(sheet: Sheet, left: float, right: float, top: float, row: float, found: Dimension, edge: float) -> None:
    """A long dimension with its words above its middle, of a short piece right of it all."""
    _line(sheet, left, right, top, row)
    if edge:
        sheet.thin((right, row), (edge + 8, row))
        sheet.words((edge + 12, row + 4), found.words)
    else:
        sheet.words(((left + right) / 2, row - 5), found.words, "middle")


def _line(sheet: Sheet, left: float, right: float, top: float, row: float) -> None:
    for x in (left, right):
        sheet.thin((x, top), (x, row + 4))
        sheet.thin((x - 3, row + 3), (x + 3, row - 3))
    sheet.thin((left, row), (right, row))
