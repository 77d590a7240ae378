"""A paper with lines to sign."""

import pytest

from reports.list_paper import ListPaper, Section, list_paper_pdf
from reports.table import Column
from tests.reports.papers import texts, titled

COLUMNS = (Column("Piece", 40, "bold"), Column("Heat", 60))


@pytest.mark.parametrize("last", ["long", "one row", "of other columns"])
@pytest.mark.parametrize("count", range(18, 46, 3))
def test_nobody_signs_a_sheet_on_which_nothing_stands(count: int, last: str) -> None:
    rows = [(f"piece-{n}.", f"heat {n}") for n in range(1, count + 1)]
    at = 2 if last == "long" else count - 1
    columns = (Column("Piece", 60), Column("Heat", 40)) if last == "of other columns" else COLUMNS
    sections = (Section(COLUMNS, rows[:at], "none", "First"), Section(columns, rows[at:], "none", "Second"))
    sheets = texts(list_paper_pdf(ListPaper(titled("Release"), sections, "", ("Released by", "Examiner", "Received"))))
    assert "Signature" in sheets[-1] and f"piece-{count}." in sheets[-1]
    assert last == "long" or "Second" in sheets[-1]
    assert [one for one in "".join(sheets).split() if one.startswith("piece-")] == [row[0] for row in rows]


def test_a_section_without_rows_says_so_before_the_lines_to_sign() -> None:
    (sheet,) = texts(
        list_paper_pdf(ListPaper(titled("Release"), (Section(COLUMNS, (), "No piece."),), "", ("Examiner",)))
    )
    assert "No piece." in sheet and "Signature" in sheet
