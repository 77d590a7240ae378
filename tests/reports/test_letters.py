"""Letters: widths, wrapping, shortening and other scripts."""

import pytest

from reports.letters import pieces, shorten, width, wrap
from reports.script import in_reading_order


def test_wrapped_lines_fit_their_room_and_lose_nothing() -> None:
    text = "VT accepted 2026-11-04, undercut 0.4 mm of at most 1.0 mm, and RT accepted 2026-11-06"
    lines = wrap(text, 60, 7)
    assert len(lines) > 3
    assert all(width(line, 7) <= 60 for line in lines)
    assert " ".join(lines) == text


def test_a_word_without_spaces_is_broken_and_kept_whole() -> None:
    lines = wrap("H8812-4471-LONGHEAT-00912/A" * 3, 40, 7)
    assert all(width(line, 7) <= 40 for line in lines)
    assert "".join(lines) == "H8812-4471-LONGHEAT-00912/A" * 3


def test_more_lines_than_allowed_end_in_an_ellipsis() -> None:
    lines = wrap("word " * 200, 60, 7, lines=3)
    assert len(lines) == 3 and lines[-1].endswith("…")


def test_shortening_keeps_the_end_of_a_mark_where_marks_differ() -> None:
    short = shorten("1-CF-1101-PIECE-0017", 50, 7, keep_end=True)
    assert "…" in short and short.endswith("17") and width(short, 7) <= 50
    assert shorten("P-1", 50, 7) == "P-1"


@pytest.mark.parametrize("room", [0, 1, 5])
def test_no_room_at_all_still_ends(room: float) -> None:
    assert shorten("anything", room, 7) == "…"
    assert "".join(wrap("abc", room, 7)) == "abc"


def test_each_script_is_printed_with_a_font_that_has_it() -> None:
    assert pieces("Müller 1/8″ ≥ 3") == [("plain", "Müller 1/8″ ≥ 3")]
    assert [face for face, _ in pieces("王小明")] == ["east"]
    assert [face for face, _ in pieces("Ωμέγα")] == ["other"]


def test_a_sign_no_font_has_becomes_its_code_point() -> None:
    assert pieces("\U0001f525 hot") == [("plain", "<U+1F525> hot")]


def test_control_signs_are_not_printed() -> None:
    assert pieces("a\x00b\u202ec\td") == [("plain", "abc d")]


def test_hebrew_is_turned_and_its_numbers_are_not() -> None:
    assert in_reading_order("יוסף 12") == "12 ףסוי"
    assert in_reading_order("Joint יוסף 12 done") == "Joint 12 ףסוי done"
    assert in_reading_order("plain words (1)") == "plain words (1)"


def test_brackets_in_right_to_left_text_open_the_right_way() -> None:
    assert in_reading_order("(כהן)") == "(ןהכ)"


def test_arabic_letters_take_the_form_their_neighbours_ask_for() -> None:
    # meem initial, hah medial, meem medial, dal final: from the charts of Unicode's Arabic Presentation Forms-B
    assert in_reading_order("محمد") == "\ufeaa\ufee4\ufea4\ufee3"
    assert "\ufefb" in in_reading_order("لا")  # lam-alef, isolated


def test_a_number_and_its_percent_sign_stand_on_one_line() -> None:
    # ISO 80000-1, 7.3.3: a space stands between the number and %.
    assert wrap("asks for RT 10 % of its welds", width("asks for RT 10", 8), 8) == [
        "asks for RT",
        "10 % of its",
        "welds",
    ]
