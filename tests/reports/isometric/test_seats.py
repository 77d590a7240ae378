"""Labels that give way to each other, and what they are held against: against trying everything."""

from collections.abc import Iterator
from itertools import product
from random import Random

import pytest

from reports.isometric.placement.candidate import Candidate, around_all, clash
from reports.isometric.placement.flat import Box, Stroke, boxes_meet, stroke_box, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import SQUARE, stroke_squares
from reports.isometric.placement.obstacles import Obstacles
from reports.isometric.placement.seats import Seats


def place(cost: float, box: Box) -> Candidate:
    return Candidate(cost, (box,), (), list, box)


def row_of(count: int, seed: int) -> list[list[Candidate]]:
    """Labels in a crowded row, each with four places at rising cost."""
    draw = Random(seed).random
    made = []
    for number in range(count):
        x = 18.0 * number
        places = [(draw() * 40, x + draw() * 60 - 30, draw() * 12) for _ in range(4)]
        made.append([place(cost, (left, top, left + 20, top + 8)) for cost, left, top in sorted(places)])
    return made


def least(labels: list[list[Candidate]]) -> float:
    """The least cost of seating all, by trying every combination."""
    best = float("inf")
    for chosen in product(*labels):
        if not any(boxes_meet(one.extent, other.extent) for n, one in enumerate(chosen) for other in chosen[n + 1 :]):
            best = min(best, sum(one.cost for one in chosen))
    return best


@pytest.mark.parametrize("seed", range(40))
def test_seats_all_where_all_can_be_seated_and_nearly_as_cheaply_as_can_be(seed: int) -> None:
    labels = row_of(5, seed)
    seats = Seats()
    for some in labels:
        seats.seat(seats.add(iter(some)), 0)
    seats.seat_rest()
    seats.settle()
    taken = list(seats.seated.values())
    assert not any(boxes_meet(one.extent, other.extent) for n, one in enumerate(taken) for other in taken[n + 1 :])
    best = least(labels)
    if best == float("inf"):
        assert len(taken) < len(labels)
    elif len(taken) == len(labels):
        # A label that loses less than four points stays, so up to that for each is not looked for.
        assert sum(one.cost for one in taken) <= best + 4.0 * len(labels)


def test_a_label_without_a_place_drives_out_one_that_has_another() -> None:
    seats = Seats()
    first = seats.add(iter([place(1, (0, 0, 10, 10)), place(2, (20, 0, 30, 10))]))
    second = seats.add(iter([place(1, (5, 0, 15, 10))]))
    assert seats.seat(first, 0)
    assert not seats.seat(second, 0)
    assert seats.seat(second, 1)
    assert seats.seated[first].cost == 2
    assert seats.seated[second].cost == 1


def test_tells_who_stands_where_a_label_finds_no_other_place() -> None:
    seats = Seats()
    large, other = (seats.add(iter([place(1, box)])) for box in ((0, 0, 30, 10), (60, 0, 70, 10)))
    small = seats.add(iter([place(1, (5, 0, 15, 10)), place(2, (20, 0, 29, 10))]))
    for label in (large, other, small):
        seats.seat(label, 0)
    assert small not in seats.seated
    assert seats.in_the_way([large, other]) == [large] and seats.in_the_way([other]) == []
    seats.drop(large)
    assert seats.add(iter(())) not in (other, small)
    assert seats.seat(small, 0) and seats.in_the_way([other]) == []


def test_makes_no_more_places_than_are_asked_for() -> None:
    made = []

    def source() -> Iterator[Candidate]:
        for number in range(100):
            made.append(number)
            yield place(number, (0, 0, 1, 1))

    seats = Seats()
    assert seats.seat(seats.add(source()), 0)
    assert made == [0]


def strokes(count: int, seed: int) -> list[Stroke]:
    draw = Random(seed).random
    return [tuple(draw() * 400 - 60 for _ in range(4)) for _ in range(count)]  # type: ignore[misc]


def test_every_point_of_a_stroke_lies_in_one_of_its_squares() -> None:
    upright, level = (33.0, -70.0, 33.0, 210.0), (-10.0, 5.0, 300.0, 5.0)
    for stroke in [*strokes(60, 3), upright, level]:
        squares = set(stroke_squares(stroke))
        for step in range(201):
            x, y = (stroke[n] + (stroke[n + 2] - stroke[n]) * step / 200 for n in (0, 1))
            assert int(x // SQUARE) * 4096 + int(y // SQUARE) in squares


def test_obstacles_answer_as_trying_each_of_them_does() -> None:
    draw = Random(9).random
    lines = strokes(25, 1)
    boxes: list[Box] = [(x, y, x + 12, y + 9) for x, y in ((draw() * 300, draw() * 300) for _ in range(25))]
    fixed = Obstacles(1.6)
    for line in lines:
        fixed.add_stroke(line)
    for box in boxes:
        fixed.add_box(box)
    seen = set()
    for _ in range(300):
        x, y = draw() * 300, draw() * 300
        asked: Box = (x, y, x + 15, y + 8)
        wide = (x - 1.6, y - 1.6, x + 16.6, y + 9.6)
        covered = any(boxes_meet(asked, box) for box in boxes) or any(stroke_meets_box(line, wide) for line in lines)
        assert fixed.covers(asked) == covered
        stroke = (x, y, x + draw() * 60 - 30, y + draw() * 60 - 30)
        blocked = any(stroke_meets_box(stroke, box) for box in boxes)
        crossed = sum(strokes_cross(stroke, line) for line in lines)
        assert fixed.across(stroke) == (None if blocked else crossed)
        seen |= {covered, blocked, crossed > 1}
    assert seen == {True, False}


def some_places(count: int, seed: int) -> list[Candidate]:
    """Places of up to two boxes and up to three strokes, near each other."""
    draw = Random(seed).random
    made = []
    for _ in range(count):
        x, y = draw() * 160, draw() * 120
        boxes: list[Box] = [(x + n * 30, y, x + n * 30 + 22, y + 9) for n in range(1 + int(draw() * 2))]
        lines = [(x, y, x + draw() * 80 - 40, y + draw() * 80 - 40) for _ in range(int(draw() * 4))]
        made.append(Candidate(0.0, tuple(boxes), tuple(lines), list, around_all((*boxes, *map(stroke_box, lines)))))
    return made


def test_places_clash_where_any_of_their_parts_meet_and_then_share_a_square() -> None:
    seen = set()
    made = some_places(80, 4)
    for number, one in enumerate(made):
        for other in made[number + 1 :]:
            meet = (
                any(boxes_meet(*both) for both in product(one.boxes, other.boxes))
                or any(stroke_meets_box(*both) for both in product(one.strokes, other.boxes))
                or any(stroke_meets_box(*both) for both in product(other.strokes, one.boxes))
                or any(strokes_cross(*both) for both in product(one.strokes, other.strokes))
            )
            assert clash(one, other) == clash(other, one) == meet
            assert not meet or set(one.squares) & set(other.squares)
            seen.add(meet)
    assert seen == {True, False}


def test_a_line_beside_a_pipe_would_be_taken_for_one() -> None:
    fixed = Obstacles(1.6)
    fixed.add_stroke((0, 0, 100, 50))
    assert fixed.across((20, 13, 60, 33), beside=5.0) is None
    assert fixed.across((20, 20, 60, 40), beside=5.0) == 0
    assert fixed.across((120, 63, 160, 83), beside=5.0) == 0
