"""The order in which a column writes its days: by its heading, by its own cells, or not at all. Common practice, no source."""

import pytest

from office.importing.day_order import heading_order, in_order, order_of


@pytest.mark.parametrize(
    ("stated", "order"),
    [("dd.mm.yyyy", "day"), ("DD/MM/YYYY", "day"), ("TT.MM.JJJJ", "day"), ("d-m-yy", "day"), ("MM/DD/YYYY", "month"),
     ("mm", ""), ("yyyy-mm-dd", ""), ("dd.dd.yyyy", ""), ("UTC", ""), ("", "")],
)  # fmt: skip
def test_a_heading_states_the_order(stated: str, order: str) -> None:
    assert heading_order(stated) == order


@pytest.mark.parametrize(
    ("cells", "order"),
    [
        (["03.11.2026", "13.11.2026", None], ("day", "13.11.2026")),
        (["11/03/2026", " 11/13/2026 "], ("month", "11/13/2026")),
        (["03.11.2026", "04.11.2026"], ("", "")),
        (["13.11.2026", "11.13.2026"], ("", "")),
        (["13.13.2026", "2026-11-13", 46085.0, "later"], ("", "")),
    ],
)
def test_one_day_that_can_be_read_one_way_only_says_how_the_others_are_read(
    cells: list[object], order: tuple[str, str]
) -> None:
    assert order_of(cells) == order


def test_days_are_turned_and_nothing_else_is() -> None:
    cells = ["03.11.2026", "3/11/2026 07:30", "3.11/2026", "03.11.26", 46085.0, None, "2026-11-03", "N/A"]
    assert in_order(cells, "day") == ["2026-11-03", "2026-11-03 07:30", *cells[2:]]
    assert in_order(cells[:2], "month") == ["2026-03-11", "2026-03-11 07:30"]
    assert in_order(cells, "") == cells
    # What is no day in this order is refused as it was typed.
    assert in_order(["13.11.2026", "11/13/2026"], "day") == ["2026-11-13", "11/13/2026"]


def test_a_month_in_words_needs_no_order() -> None:
    assert in_order(["4 March 2026", "12-Nov-2026", "7. Sept. 2026", "4 Marble 2026", "May 4 2026"], "") == [
        "2026-03-04", "2026-11-12", "2026-09-07", "4 Marble 2026", "May 4 2026"]  # fmt: skip
