"""The weld map: everything stands where it belongs, and nothing on anything else."""

from itertools import combinations
from xml.etree import ElementTree

import pytest

from reports.data import MapRun, WeldMapData
from reports.drawing import Line, Words
from reports.letters import width
from reports.page import CAUTION
from reports.weld_map import weld_map_pdf, weld_map_svg
from reports.weld_map_layout import HIGH, PIPE, RING, Strip, strips
from tests.reports.papers import fonts_without_file, run, texts, titled, weld_map

Box = tuple[float, float, float, float]
A4, LETTER, A3 = 740.0, 690.0, 1088.0


def word_boxes(strip: Strip) -> list[tuple[str, Box]]:
    boxes = []
    for shape in strip.shapes:
        if isinstance(shape, Words):
            room = width(shape.text, shape.size, shape.face)
            left = shape.at[0] - {"start": 0, "middle": room / 2, "end": room}[shape.anchor]
            boxes.append(
                (shape.text, (left, shape.at[1] - shape.size * 0.75, left + room, shape.at[1] + shape.size * 0.2))
            )
    return boxes


def other_boxes(strip: Strip) -> list[tuple[str, Box]]:
    rings = [(ring.state, (x, y, x + RING, y + RING)) for ring, (x, y) in strip.rings]
    pipes = [
        ("pipe", (shape.start[0], shape.start[1] - PIPE / 2, shape.end[0], shape.end[1] + PIPE / 2))
        for shape in strip.shapes
        if isinstance(shape, Line) and shape.ink == "map-pipe" and shape.start[1] == shape.end[1]
    ]
    return rings + pipes


def meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("wide", [A4, LETTER, A3, 160.0])
@pytest.mark.parametrize("long", [False, True])
@pytest.mark.parametrize("count", [1, 8, 9, 60])
def test_no_words_meet_other_words_a_ring_or_a_pipe(wide: float, long: bool, count: int) -> None:
    runs = (run(count, long=long, name="Main run" + " of a long name" * 20 * long), run(2, name="Branch"), run(1))
    made = strips(runs, wide)
    assert sum(len(strip.rings) for strip in made) == count + 3
    for strip in made:
        words = word_boxes(strip)
        for text, box in words:
            assert box[0] >= -0.01 and box[2] <= wide + 0.01 and box[1] >= 0 and box[3] <= HIGH, text
        for (one, left), (other, right) in combinations(words, 2):
            assert not meet(left, right), f"{one!r} runs into {other!r}"
        for one, left in words:
            for other, right in other_boxes(strip):
                assert not meet(left, right), f"{one!r} runs over a {other}"


@pytest.mark.parametrize("count", [1, 8, 60])
def test_no_ring_meets_another_and_pipes_end_at_rings(count: int) -> None:
    for strip in strips((run(count),), A4):
        rings = [box for _, box in other_boxes(strip)[: len(strip.rings)]]
        assert not any(meet(one, other) for one, other in combinations(rings, 2))


def test_short_runs_share_a_strip_and_long_ones_go_on() -> None:
    assert len(strips((run(3), run(2)), A4)) == 1
    made = strips((run(20),), A4)
    assert len(made) == 3
    assert [shape.text for shape in made[0].shapes if isinstance(shape, Words) and shape.text.startswith("to ")] == [
        "to 9"
    ]


def test_the_paper_names_every_joint_piece_spool_and_heat() -> None:
    pages = texts(weld_map_pdf(weld_map(60)))
    whole = " ".join(pages)
    for number in range(1, 61):
        assert f" {number} " in whole
    for mark in ("P-000", "P-060", "SP-11", "heat H8812", "K-4471", "WPS-11", "A1/A1/C3", "Branch at P-003"):
        assert mark in whole


def test_words_too_long_for_the_map_stand_in_full_in_a_list() -> None:
    whole = " ".join(texts(weld_map_pdf(weld_map(6, long=True))))
    assert "Piece, written out" in whole
    assert "P-004-OF-A-LONG-MARK" in whole
    assert "Piece, written out" not in " ".join(texts(weld_map_pdf(weld_map(6))))


def test_every_sheet_has_page_caution_and_title() -> None:
    pages = texts(weld_map_pdf(weld_map(60)))
    assert len(pages) > 2
    for number, text in enumerate(pages, start=1):
        assert f"{number} of {len(pages)}" in text
        assert CAUTION in text
        assert "CW-7-WL-01" in text and "ASME B31.3, 2018" in text


def test_fonts_are_embedded() -> None:
    assert fonts_without_file(weld_map_pdf(weld_map())) == []


def test_an_empty_drawing_says_so() -> None:
    pages = texts(weld_map_pdf(WeldMapData(titled("Weld map"), ())))
    assert len(pages) == 1 and "No joint on this drawing." in pages[0]


@pytest.mark.parametrize("paper", ["A4", "A3", "Letter"])
def test_every_paper_size_is_served(paper: str) -> None:
    data = WeldMapData(titled("Weld map"), (run(30),), paper)
    assert " 30 " in " ".join(texts(weld_map_pdf(data)))


def test_refuses_a_paper_it_does_not_know() -> None:
    with pytest.raises(ValueError, match="Paper 'B7' is not known"):
        weld_map_pdf(WeldMapData(titled("Weld map"), (), "B7"))


def test_svg_shows_the_same_and_the_caution() -> None:
    text = weld_map_svg(weld_map(20))
    root = ElementTree.fromstring(text)
    words = {item.text for item in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"P-000", "1", "20", "SP-1", "Branch at P-003", "planned", "field-fit"} <= words
    assert "does not replace the code of record" in text and "style=" not in text
    assert "ASME B31.3, 2018" in text


def test_a_joint_needs_a_piece_on_each_side() -> None:
    full = run(2)
    with pytest.raises(ValueError, match="2 joints need 3 pieces, not 2"):
        MapRun(full.pieces[:2], full.joints)
