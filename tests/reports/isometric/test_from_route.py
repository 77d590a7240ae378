"""A route as it is typed becomes a drawing whose centreline hangs together and whose joints stand on it."""

from collections import Counter
from dataclasses import replace

import pytest

from reports.data import MapJoint, Ring
from reports.isometric.drawn import Isometric, Weld, key
from reports.isometric.from_route import Writing, from_route, weld_words
from rules.route.geometry import shape_of_text
from rules.route.parts import Setting
from rules.route.shape import RouteShape
from tests.reports.isometric.test_drawings import check
from tests.reports.papers import titled
from tests.rules.route.generated import random_route

WRITING = Writing(lambda mm: f"{mm:.0f} mm", materials={"1": "A106 Gr. B"}, heats={"1": "H-77"})
LINE = """start at E 0 N 0 EL 3000
flange 150
run east 1200
elbow
run up 800
tee
branch north
run north 600
open end
end branch
run up 700
field fit weld
run up 900
cap"""


def numbered(text: str, nps: str = "2", schedule: str = "40") -> RouteShape:
    """The shape with its joints numbered along the flow."""
    shape = shape_of_text(text, Setting(nps, schedule))
    assert not shape.faults
    return replace(shape, joints=tuple(replace(one, number=str(n)) for n, one in enumerate(shape.joints, start=1)))


def drawn(shape: RouteShape, joints: dict[str, Weld] | None = None) -> Isometric:
    return from_route(shape, title=titled("Isometric"), writing=WRITING, joints=joints or {})


def hangs_together(made: Isometric) -> bool:
    """Whether every leg can be reached from the first one."""
    nodes = [{key(leg.start), key(leg.end)} for leg in made.legs]
    known, left = set(nodes[0]), nodes[1:]
    while reached := [one for one in left if one & known]:
        known = known.union(*reached)
        left = [one for one in left if one not in reached]
    return not left


@pytest.mark.parametrize("seed", range(60))
def test_the_centreline_hangs_together_and_carries_every_joint(seed: int) -> None:
    text, nps, schedule = random_route(seed)
    shape = numbered(text, nps, schedule)
    made = drawn(shape)
    nodes = {key(place) for leg in made.legs for place in (leg.start, leg.end)}
    assert hangs_together(made)
    assert [weld.joint.number for weld in made.welds] == [one.number for one in shape.joints]
    assert {key(weld.at) for weld in made.welds} <= nodes


@pytest.mark.parametrize("seed", [1, 3, 6, 8, 14, 23, 26, 30])
def test_a_typed_route_is_drawn_with_nothing_on_anything_else(seed: int) -> None:
    text, nps, schedule = random_route(seed)
    check(drawn(numbered(text, nps, schedule)))


@pytest.mark.soak
def test_three_hundred_typed_routes() -> None:
    for seed in range(300):
        text, nps, schedule = random_route(seed)
        try:
            check(drawn(numbered(text, nps, schedule)))
        except AssertionError:
            print(f"seed {seed}")
            raise


def test_pieces_meet_where_they_are_welded_and_not_a_gap_apart() -> None:
    made = drawn(numbered(LINE))
    kinds = Counter(leg.kind for leg in made.legs)
    assert kinds == {"flange": 1, "pipe": 5, "elbow": 2, "tee": 3, "cap": 1}
    ends = Counter(key(place) for leg in made.legs for place in (leg.start, leg.end))
    # The flange's face, the branch's open end and the cap are the only places where one leg ends alone.
    assert sum(count == 1 for count in ends.values()) == 3


def test_what_is_known_of_a_joint_stands_at_its_place() -> None:
    joint = MapJoint("1", Ring("accepted"), "butt", "NPS 2 Sch 40", heat_a="H-77")
    known = Weld((0.0, 0.0, 0.0), joint, href="/joints/1/", finding="stop", welded="2026-10-02")
    first, second, *_ = drawn(numbered(LINE), {"1": known}).welds
    assert (first.joint, first.href, first.finding, first.welded) == (joint, "/joints/1/", "stop", "2026-10-02")
    assert first.at != known.at
    assert second.joint.ring == Ring("planned")


def test_the_lists_name_every_piece() -> None:
    made = drawn(numbered(LINE))
    shape = numbered(LINE)
    named = [mark for row in made.bill for mark in row.mark.split(", ")]
    assert Counter(named) == Counter([one.mark for one in shape.pipes] + [one.mark for one in shape.components])
    assert [row.mark for row in made.cuts] == [one.mark for one in shape.pipes]
    assert [row.note for row in made.cuts if row.note] == ["100 mm left on to trim in the field"]


def test_an_elevation_is_not_told_inside_an_upright_run() -> None:
    levels = [mark.words for mark in drawn(numbered(LINE)).marks if mark.kind == "level"]
    assert "EL +3000" not in levels  # which stands with the start's coordinates
    # The tee on the way up, at 3800, has a level branch; the field weld at 4500 has not.
    assert "EL +3800" in levels
    assert "EL +4500" not in levels


def test_each_end_has_one_call_out_with_its_coordinates() -> None:
    ends = [(mark.kind, mark.words) for mark in drawn(numbered(LINE)).marks if mark.kind in ("place", "continuation")]
    assert ends == [
        ("place", "E 0\nN 0\nEL +3000"),
        ("place", "E 1200\nN 600\nEL +3800"),
        ("place", "E 1200\nN 0\nEL +5400"),
    ]


@pytest.mark.parametrize(
    ("start", "end", "first", "last"),
    [
        ("sheet 1", "sheet 3", "Continued from sheet 1", "Continued on sheet 3"),
        ("2", "ISO-7", "Continued from 2", "Continued on ISO-7"),
        ("pump P-101", "tank T-3 nozzle N2", "From pump P-101", "To tank T-3 nozzle N2"),
        ("Dwg. 4711", "iso 12", "Continued from Dwg. 4711", "Continued on iso 12"),
    ],
)
def test_where_the_line_goes_on_is_told_with_its_coordinates(start: str, end: str, first: str, last: str) -> None:
    text = f"start at E 1 N 2 EL 3\ncontinued from {start}\nrun east 900\ncontinue on {end}"
    made = drawn(numbered(text))
    assert [mark.words for mark in made.marks if mark.kind == "continuation"] == [
        f"{first}\nE 1\nN 2\nEL +3",
        f"{last}\nE 901\nN 2\nEL +3",
    ]
    check(made)


def test_says_that_the_start_was_given_no_place() -> None:
    assert drawn(numbered("start at EL 3\nrun east 900\nopen end")).notes == ("Start taken as E 0, N 0: none given",)
    assert drawn(numbered(LINE)).notes == ()


@pytest.mark.parametrize(
    ("kind", "location", "leg", "words"),
    [
        ("socket", "shop", "7/32 in", "7/32 in fillet, all around"),
        ("butt", "field", "", "V groove, all around, field"),
        ("slip-on", "field-fit", "", "fillet, both sides, all around, field-fit"),
        ("olet", "shop", "6 mm", "6 mm bevel groove and fillet, all around"),
    ],
)
def test_a_weld_symbol_in_words(kind: str, location: str, leg: str, words: str) -> None:
    assert weld_words(kind, location, leg) == words
