"""The interval of Wilson, held against the published worked figures and by hand."""

import pytest

from rules.interval import share_told, wilson


# Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 3 (score, no correction): checked against the paper's
# figures as remembered, and 0 of 20 by hand: 3.8415 / (20 + 3.8415) = 0.1611.
@pytest.mark.parametrize(
    ("counted", "of", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_the_interval_of_a_share_is_wilsons(counted: int, of: int, low: float, high: float) -> None:
    assert wilson(counted, of) == pytest.approx((low, high), abs=0.00005)
    # Counting the others instead turns the interval round.
    assert wilson(of - counted, of) == pytest.approx((1 - high, 1 - low), abs=0.00005)


def test_nothing_counted_on_says_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)


@pytest.mark.parametrize(("counted", "of"), [(3, 2), (-1, 4), (0, -1)])
def test_more_than_all_is_refused(counted: int, of: int) -> None:
    with pytest.raises(ValueError, match="not more than there are"):
        wilson(counted, of)


def test_the_words_give_the_count_and_the_interval() -> None:
    # 1 of 29 is 0.61 % to 17.18 %, 0 of 20 is 0 to 16.11 % (above).
    assert share_told(1, 29) == "1 of 29, 95 %: 0.6 % to 17 %"
    assert share_told(0, 20) == "0 of 20, 95 %: 0 % to 16 %"
