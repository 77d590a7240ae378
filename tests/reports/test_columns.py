"""Columns are as wide as the words that stand in most rows, on the smallest paper; no source but common practice."""

import pytest

from reports import weld_log, weld_map
from reports.isometric import paper
from reports.letters import width
from reports.page import Book
from reports.table import GUTTER, RING, TEXT, Column, Table
from tests.reports.papers import TITLE

# By heading, the longest word or day that a column of it often holds.
_OFTEN = {
    "Kind": "attachment",
    "Where": "field-fit",
    "Welded": "2026-11-26",
    "Accepted": "2026-11-26",
    "State": "in progress",
}


@pytest.mark.parametrize("name", ["A4", "Letter"])
@pytest.mark.parametrize(
    "columns", [weld_log.COLUMNS, weld_map.COLUMNS, paper.BUILT, paper.PLANNED], ids=["log", "map", "built", "planned"]
)
def test_no_usual_word_is_broken_and_no_ring_touches_a_number(columns: tuple[Column, ...], name: str) -> None:
    book = Book(name, TITLE)
    book.start(TITLE, landscape=True)
    table = Table(book, columns)
    for column, room in zip(columns, table.rooms, strict=True):
        if said := _OFTEN.get(column.heading):
            assert room >= width(said, TEXT, column.face), column
    assert table.rooms[0] + GUTTER >= RING + 1.5
