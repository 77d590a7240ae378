"""The section: to scale, from real dimensions, and no number over another."""

from decimal import Decimal
from itertools import combinations
from xml.etree import ElementTree

import pytest

from reports.data import Dimension, SectionData
from reports.drawing import Polygon
from reports.section import section_sheet, section_svg


def dim(value: str, words: str, limits: str = "") -> Dimension:
    return Dimension(Decimal(value), words, limits)


SOCKET = SectionData(
    kind="socket",
    pipe_wall=dim("4.55", "pipe wall 0.179"),
    socket_wall=dim("4.95", "socket wall 0.195"),
    socket_depth=dim("12.7", "insert 7/16", "of 1/2 deep"),
    gap=dim("1.6", "gap 1/16", "1/32 to 1/8"),
    mark=dim("25.4", "mark at 1", "from the face"),
    leg=dim("4.96", "leg ≥ 7/32"),
)
THICK = SectionData(
    kind="socket",
    pipe_wall=dim("8.74", "wall 8.74 mm"),
    socket_wall=dim("9.5", "socket wall 9.5 mm"),
    socket_depth=dim("16", "insert 14.4 mm"),
    gap=dim("1.6", "gap 1.6 mm", "0.8 to 3.2 mm"),
    leg=dim("9.5", "leg ≥ 9.5 mm", "1.09 × 8.74 = 9.53"),
)
BUTT = SectionData(
    kind="butt",
    pipe_wall=dim("6.02", "wall A 6.02 mm"),
    other_wall=dim("8.56", "wall B 8.56 mm"),
    gap=dim("3.2", "root opening 1/8", "3/32 to 5/32"),
    land=dim("1.6", "root face 1/16"),
)
BRANCH = SectionData(
    kind="branch",
    pipe_wall=dim("3.91", "branch wall 0.154"),
    other_wall=dim("6.02", "header wall 0.237"),
    gap=dim("2.4", "gap 3/32", "1/16 to 1/8"),
    leg=dim("2.8", "cover ≥ 1/8"),
)
SLIP_ON = SectionData(
    kind="slip-on",
    pipe_wall=dim("6.02", "pipe wall 0.237"),
    other_wall=dim("11", "hub 7/16"),
    gap=dim("6.4", "set back 1/4"),
    leg=dim("8.4", "leg ≥ 11/32", "1.4 × 0.237"),
)
ALL = [SOCKET, THICK, BUTT, BRANCH, SLIP_ON]


@pytest.mark.parametrize("data", ALL, ids=lambda data: data.kind)
def test_no_words_overlap_or_leave_the_drawing(data: SectionData) -> None:
    sheet = section_sheet(data)
    assert sheet is not None
    for left, top, right, bottom in sheet.boxes:
        assert left >= 0 and top >= 0 and right <= sheet.width and bottom <= sheet.height
    for one, other in combinations(sheet.boxes, 2):
        apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
        assert apart, f"{one} and {other} overlap"


@pytest.mark.parametrize("data", ALL, ids=lambda data: data.kind)
def test_every_number_stands_on_the_drawing(data: SectionData) -> None:
    text = section_svg(data)
    assert text is not None
    for name in ("pipe_wall", "other_wall", "socket_wall", "socket_depth", "gap", "mark", "leg", "land"):
        dimension = getattr(data, name)
        if dimension is not None:
            assert dimension.words.replace("≥", "≥") in text
            assert dimension.limits in text


def test_the_socket_is_drawn_to_one_scale() -> None:
    sheet = section_sheet(SOCKET)
    assert sheet is not None
    fitting, pipe = [shape for shape in sheet.shapes if isinstance(shape, Polygon) and shape.ink == "section-line"]
    (_, top), (face, _), (_, bore), (bottom, _), *_ = fitting.points
    (
        (end, _),
        *_,
    ) = pipe.points
    scale = (face - bottom) / 12.7
    assert (bore - top) / scale == pytest.approx(4.95)
    assert (end - bottom) / scale == pytest.approx(1.6)
    assert (pipe.points[2][1] - pipe.points[1][1]) / scale == pytest.approx(4.55)


def test_a_bevel_not_given_is_marked_typical_and_a_given_one_is_not() -> None:
    assert "75° included typical" in (section_svg(BUTT) or "")
    given = SectionData(kind="butt", pipe_wall=dim("6", "6 mm"), bevel_degrees=Decimal(30))
    assert "60° included<" in (section_svg(given) or "")


@pytest.mark.parametrize("kind", ["pad", "seal", "attachment", "unheard of"])
def test_a_kind_without_a_section_gives_none(kind: str) -> None:
    assert section_svg(SectionData(kind=kind, pipe_wall=dim("3", "3 mm"))) is None


def test_unknown_dimensions_give_none_instead_of_a_made_up_drawing() -> None:
    assert section_svg(SectionData(kind="socket", pipe_wall=dim("3", "3 mm"))) is None
    assert section_svg(SectionData(kind="branch", pipe_wall=dim("3", "3 mm"))) is None
    assert section_svg(SectionData(kind="butt", pipe_wall=dim("0", "0 mm"))) is None


def test_svg_is_well_formed_and_carries_no_style() -> None:
    for data in ALL:
        text = section_svg(data, title="Joint 14 & its section")
        assert text is not None and "style=" not in text
        assert ElementTree.fromstring(text)[0].text == "Joint 14 & its section"


def test_a_gap_wider_than_the_socket_is_drawn_and_does_not_break() -> None:
    wide = SectionData(
        kind="socket",
        pipe_wall=dim("4.55", "w"),
        socket_depth=dim("12.7", "insert"),
        gap=dim("40", "gap 40 mm"),
    )
    assert "gap 40 mm" in (section_svg(wide) or "")
