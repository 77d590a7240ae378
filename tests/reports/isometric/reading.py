"""Read a finished isometric back: words, rings, pipes and leaders as they stand on the page, whatever drew them."""

import ctypes
from collections.abc import Iterator
from dataclasses import dataclass, field

import pypdfium2
import pypdfium2.raw as raw

from reports.isometric.placement.flat import Box, Stroke
from reports.isometric.symbols import LEADER, PIPE


@dataclass
class Page:
    """What stands on one page, in points from its lower left corner (y upwards, which changes nothing in meeting)."""

    words: list[tuple[str, Box]] = field(default_factory=list)
    rings: list[Box] = field(default_factory=list)
    pipes: list[Stroke] = field(default_factory=list)
    leaders: list[Stroke] = field(default_factory=list)
    others: list[Stroke] = field(default_factory=list)


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

    return Page(
        [one for one in page.words if one[1][1] > base],
        [box for box in page.rings if box[1] > base],
        *(list(filter(kept, some)) for some in (page.pipes, page.leaders, page.others)),
    )


def _page(sheet: pypdfium2.PdfPage) -> Page:
    found = Page()
    text_page = sheet.get_textpage()
    for one in sheet.get_objects(max_depth=1):
        if one.type == raw.FPDF_PAGEOBJ_TEXT:
            found.words.append((_text(one, text_page), _box(one)))
        elif one.type == raw.FPDF_PAGEOBJ_FORM:
            box = _box(one)
            if 6 < box[2] - box[0] < 13:
                found.rings.append(box)
        elif one.type == raw.FPDF_PAGEOBJ_PATH:
            _file(found, one)
    return found


def _file(found: Page, one: pypdfium2.PdfObject) -> None:
    weight = ctypes.c_float()
    raw.FPDFPageObj_GetStrokeWidth(one.raw, ctypes.byref(weight))
    thickness = weight.value
    strokes = list(_strokes(one))
    if abs(thickness - PIPE) < 0.01:
        found.pipes += strokes
    elif abs(thickness - LEADER) < 0.01:
        found.leaders += strokes
    else:
        found.others += strokes


def _strokes(one: pypdfium2.PdfObject) -> Iterator[Stroke]:
    """The straight parts of a path, with its matrix applied."""
    a, b, c, d, e, f = one.get_matrix().get()
    x, y, at = ctypes.c_float(), ctypes.c_float(), None
    for number in range(raw.FPDFPath_CountSegments(one.raw)):
        segment = raw.FPDFPath_GetPathSegment(one.raw, number)
        raw.FPDFPathSegment_GetPoint(segment, ctypes.byref(x), ctypes.byref(y))
        point = (a * x.value + c * y.value + e, b * x.value + d * y.value + f)
        if raw.FPDFPathSegment_GetType(segment) == raw.FPDF_SEGMENT_LINETO and at is not None:
            yield (*at, *point)
        at = point


def _box(one: pypdfium2.PdfObject) -> Box:
    left, bottom, right, top = one.get_bounds()
    return left, bottom, right, top


def _text(one: pypdfium2.PdfObject, text_page: pypdfium2.PdfTextPage) -> str:
    length = raw.FPDFTextObj_GetText(one.raw, text_page.raw, None, 0)
    buffer = ctypes.create_string_buffer(length)
    raw.FPDFTextObj_GetText(one.raw, text_page.raw, ctypes.cast(buffer, ctypes.POINTER(ctypes.c_ushort)), length)
    return buffer.raw.decode("utf-16-le").rstrip("\0").strip()
