"""What lies round a pipe: where readings and stops stand on the drawing, by hand."""

from decimal import Decimal
from itertools import combinations

import pytest

from reports.data import Dimension
from reports.drawing import Circle, Polygon, Words
from reports.round_pipe import BAND, CENTRE, INNER, OUTER, PIPE, gap_round, stops_round

D = Decimal


def readings(top: str, right: str, bottom: str, left: str) -> dict[str, Dimension]:
    values = {"12": top, "3": right, "6": bottom, "9": left}
    return {clock: Dimension(D(value), f"{value} mm") for clock, value in values.items()}


def test_the_widest_gap_stands_where_it_was_read() -> None:
    # 3, 2, 1 and 2 mm: the plane tilts towards 12, where the gap fills the band; at 6 it is a third of that.
    sheet = gap_round(readings("3", "2", "1", "2"))
    assert sheet is not None
    (outline,) = [one for one in sheet.shapes if isinstance(one, Polygon)]
    heights = [CENTRE[1] - y for _, y in outline.points]
    assert max(heights) == pytest.approx(PIPE + BAND)
    assert min(heights) == pytest.approx(-(PIPE + BAND / 3))
    told = {one.text for one in sheet.shapes if isinstance(one, Words)}
    assert {"3 mm", "2 mm", "1 mm"} <= told


@pytest.mark.parametrize("values", [("3", "2", "1", "2"), ("0.396875", "12.123", "100.5", "7.25")])
def test_no_words_overlap_or_leave_the_drawing(values: tuple[str, str, str, str]) -> None:
    sheet = gap_round(readings(*values))
    assert sheet is not None
    for left, top, right, bottom in sheet.boxes:
        assert left >= 0 and top >= 0 and right <= sheet.width and bottom <= sheet.height
    for one, other in combinations(sheet.boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_without_a_gap_nothing_is_drawn() -> None:
    assert gap_round(readings("0", "0", "0", "0")) is None


def test_each_stop_stands_on_the_ring_of_its_pass() -> None:
    # The first pass stops at 12, the second at 3 and at 6 o'clock.
    sheet = stops_round([[D(0)], [D(90), D(180)]])
    assert sheet is not None
    dots = [one.centre for one in sheet.shapes if isinstance(one, Circle) and not one.width]
    x, y = CENTRE
    expected = [(x, y - INNER), (x + OUTER, y), (x, y + OUTER)]
    assert [pytest.approx(one) for one in expected] == dots
    numbers = [one.text for one in sheet.shapes if isinstance(one, Words) and one.face == "bold"]
    assert numbers == ["1", "2", "2"]


def test_more_passes_than_rings_are_not_drawn() -> None:
    assert stops_round([[D(0)]] * 5) is not None
    assert stops_round([[D(0)]] * 6) is None
