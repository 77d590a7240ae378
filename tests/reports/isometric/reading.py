"""Read a finished isometric back: words, rings, pipes and leaders as they stand on the page, whatever drew them."""

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from math import dist

import pypdfium2
import pypdfium2.raw as raw

from reports.drawing import Point
from reports.isometric.placement.flat import Box, Stroke
from reports.isometric.symbols import HEAD_HALF, HEAD_LONG, LEADER, PIPE


@dataclass
class Page:
    """What stands on one page, in points from its lower left corner (y upwards, which changes nothing in meeting).

    frames    around piece and spool marks
    measured  dimension lines: those that end at the tip of a slim head
    """

    words: list[tuple[str, Box]] = field(default_factory=list)
    rings: list[Box] = field(default_factory=list)
    frames: list[Box] = field(default_factory=list)
    measured: list[Stroke] = field(default_factory=list)
    pipes: list[Stroke] = field(default_factory=list)
    leaders: list[Stroke] = field(default_factory=list)
    others: list[Stroke] = field(default_factory=list)
    base: float = 0.0  # lower edge of the room for the drawing


def drawing_pages(content: bytes) -> list[Page]:
    """The pages that carry a drawing, with what stands in its room: those with a north arrow's words."""
    document = pypdfium2.PdfDocument(content)
    pages = []
    for sheet in document:
        page = _page(sheet)
        if any(text == "Not to scale" for text, _ in page.words):
            pages.append(_in_room(page))
    return pages


def _in_room(page: Page) -> Page:
    """What stands above the line that explains the marks of welds."""
    base = min(box[1] for text, box in page.words if text in {"butt weld", "socket or slip-on"}) + 12

    def kept(stroke: Stroke) -> bool:
        return min(stroke[1], stroke[3]) > base

    def reaches(stroke: Stroke) -> bool:
        return max(stroke[1], stroke[3]) > base

    return Page(
        [one for one in page.words if one[1][1] > base],
        [box for box in page.rings if box[1] > base],
        [box for box in page.frames if box[1] > base],
        list(filter(reaches, page.measured)),
        *(list(filter(kept, some)) for some in (page.pipes, page.leaders, page.others)),
        base=base,
    )


def _page(sheet: pypdfium2.PdfPage) -> Page:
    found, tips = Page(), set[Point]()
    text_page = sheet.get_textpage()
    for one in sheet.get_objects(max_depth=1):
        if one.type == raw.FPDF_PAGEOBJ_TEXT:
            found.words.append((_text(one, text_page), _box(one)))
        elif one.type == raw.FPDF_PAGEOBJ_FORM:
            box = _box(one)
            if 6 < box[2] - box[0] < 13:
                found.rings.append(box)
        elif one.type == raw.FPDF_PAGEOBJ_PATH:
            _file(found, tips, one)
    found.measured = [stroke for stroke in found.others if {_near(stroke[:2]), _near(stroke[2:])} & tips]
    return found


def _file(found: Page, tips: set[Point], one: pypdfium2.PdfObject) -> None:
    weight = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(one.raw, ctypes.byref(weight))
    thickness = weight.value
    strokes = list(_strokes(one))
    frame, tip = _frame(strokes), _tip(strokes)
    if frame is not None:
        found.frames.append(frame)
    elif tip is not None:
        tips.add(_near(tip))
        found.others += strokes[1:2]  # its base; its sides would be taken for dimension lines
    elif abs(thickness - PIPE) < 0.01:
        found.pipes += strokes
    elif abs(thickness - LEADER) < 0.01:
        found.leaders += strokes
    else:
        found.others += strokes


def _frame(strokes: list[Stroke]) -> Box | None:
    """The box that a path draws, if it is one."""
    upright = [abs(x2 - x1) < 0.01 for x1, _, x2, _ in strokes]
    level = [abs(y2 - y1) < 0.01 for _, y1, _, y2 in strokes]
    if len(strokes) != 4 or not all(one != other for one, other in zip(upright, level, strict=True)):
        return None
    if any(one == other for one, other in pairwise(upright)):
        return None
    across, down = [x for x1, _, x2, _ in strokes for x in (x1, x2)], [y for _, y1, _, y2 in strokes for y in (y1, y2)]
    return min(across), min(down), max(across), max(down)


def _tip(strokes: list[Stroke]) -> Point | None:
    """The tip of a dimension's head, if a path draws one: from the tip to both corners of its base."""
    if len(strokes) != 3:
        return None
    tip, base = strokes[0][:2], strokes[1]
    middle = (base[0] + base[2]) / 2, (base[1] + base[3]) / 2
    slim = abs(dist(tip, middle) - HEAD_LONG) < 0.05 and abs(dist(base[:2], base[2:]) - 2 * HEAD_HALF) < 0.05
    return tip if slim else None


def _near(point: Point) -> Point:
    return round(point[0], 1), round(point[1], 1)


def _strokes(one: pypdfium2.PdfObject) -> Iterator[Stroke]:
    """The straight parts of a path, with its matrix applied."""
    a, b, c, d, e, f = one.get_matrix().get()
    x, y, at, first = ctypes.c_float(), ctypes.c_float(), None, None
    for number in range(raw.FPDFPath_CountSegments(one.raw)):
        segment = raw.FPDFPath_GetPathSegment(one.raw, number)
        raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        point = (a * x.value + c * y.value + e, b * x.value + d * y.value + f)
        if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_MOVETO:
            first = point
        elif raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_LINETO and at is not None:
            yield (*at, *point)
        at = point
        if raw.FPDFPathSegment_GetClose(segment) and first is not None and first != at:
            yield (*at, *first)


def _box(one: pypdfium2.PdfObject) -> Box:
    left, bottom, right, top = one.get_bounds()
    return left, bottom, right, top


def _text(one: pypdfium2.PdfObject, text_page: pypdfium2.PdfTextPage) -> str:
    length = raw.FPDFTextObj_GetText(one.raw, text_page.raw, None, 0)
    buffer = ctypes.create_string_buffer(length)
    raw.FPDFTextObj_GetText(one.raw, text_page.raw, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), length)
    return buffer.raw.decode("utf-16-le").rstrip("\0").strip()
