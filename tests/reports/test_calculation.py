"""Drawings of calculations, to scale and with no words over others; and the paper of a calculation, on one page."""

from decimal import Decimal
from itertools import combinations
from xml.etree import ElementTree

import pytest

from reports.calculation import CalculationData, calculation_pdf
from reports.cut_piece import CutPiece, cut_piece
from reports.data import Dimension
from reports.drawing import Circle, Line, Polygon
from reports.fillet import fillet
from reports.fitting_outline import PieceEnd
from reports.pipe_end import pipe_end
from reports.section_marks import Sheet
from reports.svg import svg
from rules.cut_length import ENDS
from tests.reports.papers import fonts_without_file, texts, titled


def dim(value: float, words: str = "") -> Dimension:
    return Dimension(Decimal(str(value)), words)


def end(kind: str, takeout: float, opening: float, depth: float | None) -> PieceEnd:
    if kind == "plain":
        return PieceEnd(kind, dim(0))
    socket = dim(depth) if depth else None
    return PieceEnd(kind, dim(takeout, f"take-out {takeout} mm"), dim(opening, f"gap {opening} mm"), socket)


def piece(one: str, other: str, length: float, *, depth: float | None = 12.5, od: float = 33.4) -> CutPiece:
    centre = length + 24 * sum(kind != "plain" for kind in (one, other))
    return CutPiece(
        dim(centre, f"centre to centre {centre} mm"),
        dim(length, f"cut {length} mm"),
        dim(od),
        (end(one, 22.5, 1.5, depth), end(other, 22.5, 1.5, depth)),
    )


def held(sheet: Sheet | None) -> Sheet:
    """No words over others or off the sheet, and the SVG is well formed without a style."""
    assert sheet is not None
    for left, top, right, bottom in sheet.boxes:
        assert left >= 0 and top >= 0 and right <= sheet.width and bottom <= sheet.height
    for one, other in combinations(sheet.boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1], (one, other)
    text = svg(sheet.shapes, width=sheet.width, height=sheet.height, title="a & b", kind="section")
    assert "style=" not in text
    assert ElementTree.fromstring(text) is not None
    return sheet


@pytest.mark.parametrize("length", [5, 30, 60, 110, 200, 452, 3000, 12000])
@pytest.mark.parametrize("depth", [12.5, None])
@pytest.mark.parametrize("one", ENDS)
def test_a_cut_piece_of_any_length_between_any_ends_is_drawn_legibly(
    one: str, depth: float | None, length: float
) -> None:
    for other in ("tee", "plain"):
        sheet = held(cut_piece(piece(one, other, length, depth=depth)))
        assert all(point_inside(sheet, shape) for shape in sheet.shapes)


def point_inside(sheet: Sheet, shape: object) -> bool:
    points = shape.points if isinstance(shape, Polygon) else (shape.start, shape.end) if isinstance(shape, Line) else ()
    return all(0 <= x <= sheet.width and 0 <= y <= sheet.height for x, y in points)


def test_a_short_piece_is_drawn_to_one_scale_and_a_long_one_says_that_it_is_broken() -> None:
    sheet = held(cut_piece(piece("tee", "plain", 60)))
    solid = [one for one in sheet.shapes if isinstance(one, Line) and one.ink == "section-line"]
    tops = [one for one in solid if one.start[1] == one.end[1]]
    length = max(one.end[0] for one in tops) - min(one.start[0] for one in tops)
    high = max(one.start[1] for one in tops) - min(one.start[1] for one in tops)
    assert length / high == pytest.approx(60 / 33.4)
    words = [getattr(one, "text", "") for one in sheet.shapes]
    assert not any("shortened" in one for one in words)
    long = held(cut_piece(piece("tee", "plain", 6000)))
    assert any("shortened in the middle" in getattr(one, "text", "") for one in long.shapes)


def test_a_fillet_is_drawn_to_scale_and_a_concave_one_bends_inwards() -> None:
    # Legs 6 and 8: throat 6 x 8 / 10 = 4.8.
    flat = held(fillet(dim(6, "leg 6 mm"), dim(8, "leg 8 mm"), dim(4.8, "throat 4.8 mm")))
    weld = next(one for one in flat.shapes if isinstance(one, Polygon) and one.ink == "section-weld")
    corner, top, toe = weld.points
    assert (corner[1] - top[1]) / (toe[0] - corner[0]) == pytest.approx(8 / 6)
    held(fillet(dim(6, "leg at least 1-15/32 in"), dim(6, "leg at least 1-15/32 in"), dim(4.24, "throat 0.707 x leg")))
    hollow = held(fillet(dim(6, "leg 6 mm"), dim(6, "leg 6 mm"), dim(3, "throat 3 mm")))
    bent = next(one for one in hollow.shapes if isinstance(one, Polygon) and one.ink == "section-weld")
    scale = (bent.points[-1][0] - bent.points[0][0]) / 6
    nearest = min(((x - bent.points[0][0]) ** 2 + (y - bent.points[0][1]) ** 2) ** 0.5 for x, y in bent.points[1:])
    assert nearest / scale == pytest.approx(3, rel=0.01)


def test_a_pipe_end_is_drawn_to_scale() -> None:
    sheet = held(pipe_end(dim(48.3, "outside diameter 48.3 mm"), dim(5.08, "wall 5.08 mm")))
    outer, inner = (one.radius for one in sheet.shapes if isinstance(one, Circle))
    assert inner / outer == pytest.approx((48.3 - 2 * 5.08) / 48.3)


def test_what_can_not_be_is_not_drawn() -> None:
    assert pipe_end(dim(10), dim(6)) is None
    assert fillet(dim(0), dim(6), dim(3)) is None
    assert cut_piece(piece("tee", "plain", 0)) is None


def calculation(lines: int, *, drawing: Sheet | None = None) -> CalculationData:
    return CalculationData(
        title=titled("Length to cut between two fittings"),
        about="What to cut a pipe to between two fittings.",
        asked=[(f"Asked {n}", f"{n} mm") for n in range(lines)],
        answer=[("Cut length", "452 mm"), *((f"Told {n}", f"{n} mm, exactly {n}.0625 mm") for n in range(lines))],
        steps=[f"step {n}: 500 - 22.5 - 22.5 - 3 = 452" for n in range(lines)],
        source=[("Source", ["ASME B16.11-2016 Table 1"]), ("Tables", ["socket fittings: unconfirmed"])],
        drawing=drawing,
        notes=["A note."],
        cautions=["Cutting needs the site's permit."],
    )


@pytest.mark.parametrize("lines", [1, 8, 20, 40])
@pytest.mark.parametrize("is_drawn", [True, False])
def test_a_calculation_is_one_page_whatever_it_says(lines: int, is_drawn: bool) -> None:
    drawing = cut_piece(piece("elbow-90", "tee", 452)) if is_drawn else None
    pdf = calculation_pdf(calculation(lines, drawing=drawing))
    (page,) = texts(pdf)
    assert fonts_without_file(pdf) == []
    for words in ("452 mm", f"step {lines - 1}:", "Table 1", "unconfirmed", "A note.", "site's permit", "1 of 1"):
        assert words in page
    assert ("centre to centre" in page) is is_drawn


def test_the_same_calculation_is_the_same_file() -> None:
    assert calculation_pdf(calculation(3)) == calculation_pdf(calculation(3))
