"""The ring: every state reads without colour, at 12 px."""

from io import BytesIO
from itertools import combinations
from xml.etree import ElementTree

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from reports.data import Ring
from reports.ink import Pen
from reports.ring import BOX, STATES, outer_radius, ring_shapes, ring_svg, ring_words


def black_and_white(ring: Ring, px: int = 12) -> bytes:
    """The ring as a photocopier sees it: each of px × px dots black or white."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=(px, px))
    Pen(canvas, px).shapes(ring_shapes(ring, px), scale=px / BOX)
    canvas.showPage()
    canvas.save()
    image = pypdfium2.PdfDocument(out.getvalue())[0].render(scale=1).to_pil().convert("L")
    return image.point(lambda level: 0 if level < 128 else 1).tobytes()


@pytest.mark.parametrize("attempts", [0, 1, 2, 3])
def test_states_differ_in_black_and_white_at_12_px(attempts: int) -> None:
    dots = {state: black_and_white(Ring(state, 0.5, attempts)) for state in STATES}
    least = 8 if attempts == 0 else 4
    for (one, left), (other, right) in combinations(dots.items(), 2):
        apart = sum(a != b for a, b in zip(left, right, strict=True))
        assert apart >= least, f"{one} and {other} differ by {apart} dots"


@pytest.mark.parametrize("state", STATES)
def test_a_later_attempt_differs_from_the_original(state: str) -> None:
    assert black_and_white(Ring(state, 0.5, 0)) != black_and_white(Ring(state, 0.5, 1))


def test_one_two_and_three_attempts_differ_at_24_px() -> None:
    assert len({black_and_white(Ring("welded", 1, attempts), 24) for attempts in range(4)}) == 4


def test_progress_closes_the_arc_clockwise() -> None:
    quarter = ring_shapes(Ring("in progress", 0.25), 24)[1]
    most = ring_shapes(Ring("in progress", 1.0), 24)[1]
    assert quarter.start == 0 and quarter.sweep == 90
    assert most.sweep < 360, "a closed ring would read as welded"


def test_svg_has_a_title_and_no_style_so_that_a_strict_policy_shows_it() -> None:
    for state in STATES:
        text = ring_svg(state, 0.5, 1, 24, 'Joint "14" <rejected>')
        root = ElementTree.fromstring(text)
        assert root[0].text == 'Joint "14" <rejected>'
        assert "style=" not in text and "<script" not in text
        assert root.get("role") == "img"


def test_svg_names_its_parts_by_class() -> None:
    assert 'class="ring-line"' in ring_svg("planned")
    assert 'class="ring-arc"' in ring_svg("welded")
    assert 'class="ring-fill"' in ring_svg("accepted")
    assert 'class="ring-strike"' in ring_svg("rejected")


def test_without_a_title_the_ring_says_its_state_and_attempt() -> None:
    assert ring_words(Ring("welded", 1, 1)) == "welded, second attempt"
    assert "<title>rejected, attempt 4</title>" in ring_svg("rejected", attempt_count=3)


def test_refuses_a_state_it_does_not_know() -> None:
    with pytest.raises(ValueError, match="no state 'lost'"):
        ring_svg("lost")


@pytest.mark.parametrize("attempts", [0, 1, 2, 5])
def test_the_ring_stays_inside_its_box(attempts: int) -> None:
    assert outer_radius(Ring("welded", 1, attempts)) <= BOX / 2
