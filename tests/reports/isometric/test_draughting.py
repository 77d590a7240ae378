"""What a draughtsman looks at: flow on each run, lengths that reach what they measure, symbols the right way round."""

from dataclasses import replace
from itertools import product
from math import dist

from reports.drawing import Line, Point, Polygon, Words
from reports.isometric.dimensions import PAST, candidates, chains
from reports.isometric.drawn import Isometric, key
from reports.isometric.flow import CLEAR, OFF, arrows, straight_runs
from reports.isometric.placement.candidate import Candidate
from reports.isometric.placement.flat import Box, Stroke, seem_one
from reports.isometric.projection import along
from reports.isometric.scene import Drawn, Scene
from reports.isometric.sheet import Sheet, sheets
from reports.isometric.symbols import FINE, HATCHED, LEADER, unit
from reports.letters import width
from tests.reports.isometric.test_drawings import drawing
from tests.reports.isometric.test_from_route import drawn, numbered
from tests.rules.route.generated import random_route

ROOM: Box = (0.0, 0.0, 756.0, 446.0)
ROLLING = """run east 1000
offset 45 up 900 north 1200
run east 900
elbow
run up 3000
elbow
run north 1000
open end"""
SOCKETS = """ends socket class 3000
run east 760
coupling
run east 380
elbow
run up 600
tee
branch north
run north 400
valve V-2 length 90 socket
run north 300
cap length 25
end branch
run up 500
elbow 45
run up 300 north 300
elbow 45
run up 900
open end"""
TRAIN = """continued from pump P-1
flange 150
run up 300
flange 150
gasket 3
valve HV-1 length 229 bolted
gasket 3
flange 150
run up fitting to fitting
reducer to 4 sch 40
run up fitting to fitting
elbow
run east fitting to fitting
flange 150
gasket 3
instrument FT-1 length 250 bolted
gasket 3
flange 150
run east 600
reducer eccentric flat down to 3 sch 40
run east 300
item strainer length 180
run east 300
support guide called PS-1
run east 200
elbow
run south 500
continue on dwg 4711"""
RISERS = (
    "run east 1500\n"
    + "".join(f"tee\nbranch up\nrun up {height}\nopen end\nend branch\nrun east 350\n" for height in (1500, 900, 1300))
    + "open end"
)


def made(text: str, nps: str = "4", schedule: str = "40") -> Isometric:
    return drawn(numbered(text, nps, schedule))


def one_sheet(text: str, nps: str = "4", schedule: str = "40") -> Sheet:
    (sheet,) = sheets(made(text, nps, schedule), ROOM)
    return sheet


def some_sheets() -> list[Sheet]:
    found = [sheet for seed in (2, 5, 7, 11) for sheet in sheets(drawing(seed), ROOM)]
    for seed in (3, 6, 14):
        found += sheets(made_from(seed), ROOM)
    return found


def made_from(seed: int) -> Isometric:
    text, nps, schedule = random_route(seed)
    return drawn(numbered(text, nps, schedule))


def heads(scene: Scene) -> list[tuple[Point, Point]]:
    """The flow arrows of a sheet: the middle of each, and where it points."""
    found = []
    for shape in scene.shapes:
        if isinstance(shape, Polygon) and shape.filled and len(shape.points) == 3:
            tip, left, right = shape.points
            back = (left[0] + right[0]) / 2, (left[1] + right[1]) / 2
            found.append((((tip[0] + back[0]) / 2, (tip[1] + back[1]) / 2), unit(back, tip)))
    return found


def is_on(at: Point, one: Drawn) -> bool:
    return dist(one.start, at) + dist(at, one.end) < dist(one.start, one.end) + 0.01


def lines(sheet: Sheet, weight: float) -> list[Stroke]:
    """The lines of labels with a weight: of leaders, or of lengths."""
    shapes = (shape for one in sheet.arranged.written for shape in one.shapes)
    return [(*one.start, *one.end) for one in shapes if isinstance(one, Line) and one.width == weight]


def test_flow_stands_once_on_each_run_that_has_room_and_points_along_it() -> None:
    without = 0
    for sheet in some_sheets():
        legs = [sheet.placed.drawn(leg) for leg in sheet.part.drawing.legs]
        arrow_of = {number: way for at, way in heads(sheet.scene) for number, one in enumerate(legs) if is_on(at, one)}
        for run in straight_runs([one.leg for one in legs]):
            shown = [number for number in run if number in arrow_of]
            for number in shown:
                assert dist(arrow_of[number], unit(legs[number].start, legs[number].end)) < 1e-6
            room = [
                number for number in run
                if legs[number].leg.kind == "pipe" and dist(legs[number].start, legs[number].end) > 2 * OFF + 2 * CLEAR
            ]  # fmt: skip
            without += bool(room) and not shown
    assert without <= 1  # one pipe that others cross in several places


def test_a_short_run_has_its_arrow_and_a_crossed_one_has_it_beside_the_crossing() -> None:
    assert arrows([[0], [1, 2]], [15.0, 22.0, 30.0], [[], [], []]) == {2: 14.0}
    assert arrows([[0, 1]], [60.0, 70.0], [[], []]) == {0: 60 * 0.28, 1: 70 * 0.28}
    (at,) = arrows([[0]], [60.0], [[0.28]]).values()
    assert abs(at - 60 * 0.28) > CLEAR


def test_extension_lines_begin_at_what_they_measure() -> None:
    sheet = one_sheet(TRAIN, "6")
    starts = [stroke[:2] for stroke in lines(sheet, FINE)]
    notes = {shape.text for one in sheet.arranged.written for shape in one.shapes if isinstance(shape, Words)}
    measured = [one for one in sheet.part.drawing.dimensions if f"L {one.words}" not in notes]
    assert len(measured) > 8
    for one in measured:
        for place in (one.start, one.goes_on or one.end):
            at = sheet.placed.point(place)
            assert min(dist(at, start) for start in starts) < 10, one


def test_lengths_beside_an_eccentric_reducer_and_a_row_of_risers_are_one_chain() -> None:
    for text, words in ((TRAIN, ["232", "250", "600", "102", "300", "180"]), (RISERS, ["1500", "350", "350", "350"])):
        sheet = one_sheet(text, "6" if text is TRAIN else "4")
        together = [[shape.text for shape in one.shapes if isinstance(shape, Words)] for one in sheet.arranged.written]
        assert any(words == some[: len(words)] for some in together)


def test_a_riser_is_measured_beyond_another_one_only_at_a_price() -> None:
    room = (0.0, 0.0, 1104.0, 674.0)
    beyond = 0
    for sheet in sheets(replace(made_from(6), marks=()), room):
        legs = [sheet.placed.drawn(leg) for leg in sheet.part.drawing.legs if along(leg.start, leg.end) == 2]
        for chain in chains([one for one in sheet.part.drawing.dimensions if along(one.start, one.end) == 2]):
            x, y = sheet.placed.point(chain[0].start)
            for place in candidates(chain, sheet.placed, sheet.scene, room):
                if any(is_beyond(place, len(chain), (x, y), one) for one in legs):
                    beyond += 1
                    assert place.cost > PAST
    assert beyond


def is_beyond(place: Candidate, lengths: int, first: Point, riser: Drawn) -> bool:
    """Whether the line of a chain that starts at a point stands on the far side of a riser that is beside it."""
    at, start, _, _ = place.strokes[0]
    end = place.strokes[2 * lengths - 1][3]
    share = (riser.start[0] - first[0]) / (at - first[0])
    back = (1 - share) * (first[1] - start)  # along the extension lines, from the dimension line to the riser
    low, high = sorted((start + back, end + back))
    beside = min(high, max(riser.start[1], riser.end[1])) - max(low, min(riser.start[1], riser.end[1]))
    return 0.2 < share < 1 and beside > 10


def test_a_cup_opens_to_the_pipe_and_stands_square_to_a_skew_one() -> None:
    sheet = one_sheet(SOCKETS, "1", "80")
    legs = [sheet.placed.drawn(leg) for leg in sheet.part.drawing.legs if leg.kind == "pipe"]
    seen = set()
    for weld, _, shapes in sheet.scene.welds:
        cup = shapes[0]
        if not isinstance(cup, Polygon):
            continue
        arm, top, foot, _ = cup.points
        for one in legs:
            for place, start, end in ((one.leg.start, one.start, one.end), (one.leg.end, one.end, one.start)):
                if key(place) == key(weld.at):
                    assert dist(unit(top, arm), unit(start, end)) < 1e-6
                    is_skew = along(one.leg.start, one.leg.end) is None
                    seen.add(is_skew)
                    (x, y), (dx, dy) = unit(top, foot), unit(start, end)
                    assert not is_skew or abs(x * dx + y * dy) < 1e-6
    assert seen == {True, False}


def test_the_planes_of_a_skew_run_stay_in_the_room() -> None:
    for wide, high in product((560.0, 756.0), (330.0, 446.0)):
        for sheet in sheets(made(ROLLING), (0.0, 0.0, wide, high)):
            for shape in sheet.scene.shapes:
                if isinstance(shape, Line) and shape.width == HATCHED:
                    assert all(0 <= x <= wide and 0 <= y <= high for x, y in (shape.start, shape.end))


def test_no_leader_runs_beside_another_line_from_the_same_place() -> None:
    assert seem_one((0, 0, 30, 0), (3, 1, 40, 4)) and not seem_one((0, 0, 30, 0), (3, 1, 40, 14))
    assert not seem_one((0, 0, 30, 0), (20, 1, 60, 1)) and not seem_one((0, 0, 30, 0), (1, 1, -30, 1))
    for sheet in some_sheets():
        leaders = lines(sheet, LEADER)
        for leader, other in product(leaders, (*leaders, *lines(sheet, FINE))):
            assert leader is other or not seem_one(leader, other)


def test_a_number_is_not_read_on_into_other_words() -> None:
    for sheet in some_sheets():
        words = [
            (one.weld, shape) for one in sheet.arranged.written for shape in one.shapes if isinstance(shape, Words)
        ]
        for (weld, one), (_, other) in product(words, words):
            if weld is None or one is other or abs(one.at[1] - other.at[1]) > 4:
                continue
            assert gap(one, other) > 5.5, (one.text, other.text)


def gap(number: Words, other: Words) -> float:
    """Room between a joint's number and other words, behind the number; much before it, where its ring stands."""
    left, right = ends(number)
    their_left, their_right = ends(other)
    return (
        left - their_right
        if number.anchor == "end" and their_right < right
        else (their_left - right if number.anchor == "start" and their_left > left else 99.0)
    )


def ends(words: Words) -> tuple[float, float]:
    room = width(words.text, words.size, words.face)
    left = words.at[0] - room * {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor]
    return left, left + room


def test_a_support_is_named_at_its_foot() -> None:
    sheet = one_sheet(TRAIN, "6")
    (mark,) = (mark for mark in sheet.part.drawing.marks if mark.kind == "support")
    foot, _ = sheet.scene.feet[key(mark.at)]
    (leader,) = (
        shape
        for one in sheet.arranged.written
        if any(isinstance(shape, Words) and shape.text == "PS-1" for shape in one.shapes)
        for shape in one.shapes
        if isinstance(shape, Line)
    )
    assert dist(leader.start, foot) < 3.1 and dist(leader.start, leader.end) > 3
