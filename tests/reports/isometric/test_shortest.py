"""Labels of small sheets against an oracle: every combination of places is ruled out or tried, and none is better."""

from itertools import islice

import pytest

from reports.isometric.arrange import _weld_label, choices_of
from reports.isometric.candidates import candidates
from reports.isometric.layout import Layout
from reports.isometric.placement.candidate import Candidate
from reports.isometric.placement.choose import Choices
from reports.isometric.placement.seats import Seats
from reports.isometric.scene import Placed, build
from reports.isometric.untangle import untangle
from tests.reports.isometric.walks import walk

ROOM = (0.0, 0.0, 1120.0, 690.0)


def places_of(seed: int, joints: int) -> list[list[Candidate]]:
    """The places of the joints' labels on one sheet."""
    made = walk(joints, seed, branches=0.3)
    layout = Layout(made.legs, made.dimensions, 0.4)
    untangle(layout, made.legs)
    placed = Placed(layout, made.legs, ROOM)
    scene = build(made, placed)
    return [list(islice(candidates(_weld_label(weld, at, scene), scene, ROOM), 12)) for weld, at, _ in scene.welds]


def least(choices: Choices) -> float:
    """The least sum of costs without any clash, by branch and bound over each group of labels that can meet."""
    return sum(_least_of(choices, group) for group in _groups(choices))


def _groups(choices: Choices) -> list[list[int]]:
    owner = [label for label in range(choices.count) for _ in range(choices.firsts[label], choices.firsts[label + 1])]
    left, groups = set(range(choices.count)), []
    while left:
        group, ahead = set(), [min(left)]
        while ahead:
            label = ahead.pop()
            if label not in group:
                group.add(label)
                span = range(choices.firsts[label], choices.firsts[label + 1])
                ahead += {owner[other] for position in span for other in choices.clashes[position]}
        left -= group
        groups.append(sorted(group))
    return groups


def _least_of(choices: Choices, group: list[int]) -> float:
    spans = [
        sorted(range(choices.firsts[label], choices.firsts[label + 1]), key=lambda position: choices.costs[position])
        for label in group
    ]
    rest = [0.0]
    for span in reversed(spans):
        rest.append(rest[-1] + choices.costs[span[0]])
    rest.reverse()
    best = float("inf")

    def go(depth: int, cost: float, closed: frozenset[int]) -> None:
        nonlocal best
        if cost + rest[depth] >= best - 1e-9:
            return
        if depth == len(spans):
            best = cost
            return
        for position in spans[depth]:
            if position not in closed:
                go(depth + 1, cost + choices.costs[position], closed | frozenset(choices.clashes[position]))

    go(0, 0.0, frozenset())
    return best


@pytest.mark.parametrize("seed", range(25))
def test_leaders_are_within_a_tenth_of_the_shortest_arrangement(seed: int) -> None:
    places = places_of(seed, 12)
    seats = Seats()
    for some in places:
        seats.seat(seats.add(iter(some)), 0)
    seats.seat_rest()
    seats.settle()
    shortest = least(choices_of(places))
    if shortest == float("inf"):
        assert len(seats.seated) < len(places)
        return
    assert len(seats.seated) == len(places)
    assert sum(place.cost for place in seats.seated.values()) <= 1.1 * shortest + 1e-9
