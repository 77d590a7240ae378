"""The dial: starts and stops on the clock face, and the same in words."""

from decimal import Decimal
from xml.etree import ElementTree

from reports.data import DialPass, DialSegment
from reports.dial import clock_words, dial_svg, dial_words


def segment(stamp: str, start: str, stop: str) -> DialSegment:
    return DialSegment(stamp, Decimal(start), Decimal(stop))


ROOT = DialPass(1, "root", (segment("A1", "3", "3"),))
CAP = DialPass(2, "cap", (segment("A1", "6", "11"), segment("C3", "11", "4.5")))


def test_words_say_each_segment_with_its_stamp() -> None:
    assert dial_words([ROOT, CAP]) == [
        "Pass 1 root, A1: from 3 o'clock all round",
        "Pass 2 cap, A1: from 6 clockwise to 11 o'clock",
        "Pass 2 cap, C3: from 11 clockwise to 4:30 o'clock",
    ]


def test_clock_places_are_said_as_the_trade_says_them() -> None:
    assert [clock_words(Decimal(hours)) for hours in ("0", "12", "4.5", "11.75", "3")] == [
        "12",
        "12",
        "4:30",
        "11:45",
        "3",
    ]


def test_a_segment_over_twelve_runs_clockwise_the_long_way() -> None:
    arcs = [
        item.get("d") for item in ElementTree.fromstring(dial_svg([CAP])).iter() if item.get("class") == "dial-pass"
    ]
    large = [path.split("A")[1].split()[3] for path in arcs]
    assert large == ["0", "0"]  # 6 to 11 is 150°, 11 to 4:30 is 165°
    long_way = ElementTree.fromstring(dial_svg([DialPass(1, "root", (segment("A1", "6", "4"),))]))
    path = next(item.get("d") for item in long_way.iter() if item.get("class") == "dial-pass")
    assert path.split("A")[1].split()[3] == "1"  # 300°


def test_numbers_are_drawn_after_every_band_so_that_nothing_runs_over_them() -> None:
    classes = [item.get("class") for item in ElementTree.fromstring(dial_svg([ROOT, CAP])).iter()]
    assert classes.index("dial-start") > max(
        place for place, name in enumerate(classes) if name in {"dial-pass", "dial-stop"}
    )


def test_an_empty_dial_says_so() -> None:
    assert "<title>No pass recorded</title>" in dial_svg([])


def test_many_passes_keep_their_bands_apart() -> None:
    many = [DialPass(order, "fill", (segment("A1", "1", "1"),)) for order in range(1, 12)]
    bands = [
        (float(item.get("r")), float(item.get("stroke-width")))
        for item in ElementTree.fromstring(dial_svg(many)).iter()
        if item.get("class") == "dial-pass"
    ]
    assert len(bands) == 8
    for (inner, width), (outer, _) in zip(bands, bands[1:], strict=False):
        assert outer - inner > width


def test_svg_keeps_a_stamp_with_mark_up_harmless() -> None:
    text = dial_svg([DialPass(1, "root", (segment("<b>&", "3", "3"),))])
    assert "&lt;b&gt;&amp;" in text and "<b>" not in text
