"""Changing any figure of any table makes a test fail: each is held against an entry made a second time, or worked out."""

import random

import pytest

from rules.tables import table, table_names
from tests.published.second_entry import by_column, changed, differences, expected, figures

SAMPLED = 12


@pytest.mark.parametrize("name", table_names())
def test_a_table_agrees_with_its_second_entry(name: str) -> None:
    assert differences(name, table(name).rows) == []


def test_no_second_entry_is_left_of_a_table_that_is_gone() -> None:
    assert set(by_column()) <= set(table_names())


@pytest.mark.parametrize("name", table_names())
def test_the_second_entry_reaches_every_figure(name: str) -> None:
    assert set(figures(name)) == set(expected(name))


def unnoticed(name: str, cells: list[tuple[int, str]]) -> list[tuple[int, str]]:
    """The cells that could be changed by their last digit without the comparison failing."""
    rows = [dict(row) for row in table(name).rows]
    left = []
    for place, column in cells:
        original = rows[place][column]
        rows[place][column] = changed(original)
        if not differences(name, rows):
            left.append((place, column))
        rows[place][column] = original
    return left


@pytest.mark.parametrize("name", table_names())
def test_a_changed_figure_is_noticed(name: str) -> None:
    cells = figures(name)
    assert unnoticed(name, random.Random(name).sample(cells, min(SAMPLED, len(cells)))) == []


@pytest.mark.soak
def test_every_changed_figure_is_noticed() -> None:
    counted = {name: len(figures(name)) for name in table_names()}
    left = [(name, *cell) for name in table_names() for cell in unnoticed(name, figures(name))]
    print(f"figures changed one by one: {sum(counted.values())} in {len(counted)} tables, unnoticed: {len(left)}")
    assert left == []


@pytest.mark.parametrize("name", table_names())
def test_a_row_more_or_less_is_noticed(name: str) -> None:
    rows = list(table(name).rows)
    assert differences(name, rows[:-1])
    assert differences(name, [*rows, rows[0]])
