"""Lengths that go straight on from each other stand in one chain."""

from reports.isometric.dimensions import chains
from tests.reports.isometric.test_from_route import drawn, numbered


def words(text: str) -> list[list[str]]:
    made = drawn(numbered(text, "4", "40"))
    return [[one.words for one in chain] for chain in chains(made.dimensions)]


def test_a_branch_between_two_lengths_does_not_part_them() -> None:
    text = "ends butt\nrun west 700\nolet 1 sch 80 height 30 socket\nbranch down\nrun down 400\nopen end\nend branch\n"
    assert words(text + "run west 900\nopen end") == [["700", "900"], ["400"]]


def test_a_gasket_between_two_lengths_does_not_part_them() -> None:
    text = "ends butt\nrun up 700\nflange 150\ngasket 3\nvalve HV-1 length 292 bolted\ngasket 3\nflange 150\n"
    assert words(text + "run up 400\nelbow\nrun north 500\nopen end") == [["700", "292", "400"], ["500"]]


def test_a_length_back_along_the_line_is_a_chain_of_its_own() -> None:
    text = "ends butt\nrun north 700\nelbow\nrun up 600\nelbow\nrun south 700\nopen end"
    assert words(text) == [["700"], ["600"], ["700"]]
