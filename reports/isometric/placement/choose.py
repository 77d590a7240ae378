"""Choose one position for every label: greedy first, then seeded annealing; the same choice on every run.

What is made small is the sum of the costs of the chosen positions, plus a penalty for every label in conflict. A label
is in conflict if its position is blocked or clashes with the position chosen for another label.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp
from random import Random


@dataclass(frozen=True, slots=True)
class Choices:
    """Positions are numbered through all labels: label i has those from `firsts[i]` up to `firsts[i + 1]`.

    costs    of each position
    clashes  for each position, the positions of other labels it can't stand with (both ways)
    blocked  for each position, whether something that can't move is in its way
    """

    firsts: Sequence[int]
    costs: Sequence[float]
    clashes: Sequence[Sequence[int]]
    blocked: Sequence[bool]

    @property
    def count(self) -> int:
        """How many labels there are."""
        return len(self.firsts) - 1


@dataclass(frozen=True, slots=True)
class Schedule:
    """How long and how warm the annealing runs; temperatures and penalty are in the unit of the costs."""

    moves: int
    warm: float
    cold: float
    penalty: float
    seed: int = 1


class Arrangement:
    """One position chosen for each label, with what it costs kept up to date move by move."""

    def __init__(self, choices: Choices, penalty: float, chosen: Sequence[int]) -> None:
        """Start from given positions, one a label."""
        self.choices, self.penalty = choices, penalty
        self.chosen = list(chosen)
        self.owner = [i for i in range(choices.count) for _ in range(choices.firsts[i], choices.firsts[i + 1])]
        self.taken = [False] * len(choices.costs)
        for position in self.chosen:
            self.taken[position] = True
        taken = self.taken
        # How many things stand in the way of each label where it is; a blocked position counts as one.
        self.troubles = [
            sum(taken[other] for other in choices.clashes[position]) + choices.blocked[position]
            for position in self.chosen
        ]

    @property
    def in_conflict(self) -> int:
        """How many labels are in conflict."""
        return sum(trouble > 0 for trouble in self.troubles)

    @property
    def cost(self) -> float:
        """The sum that is made small."""
        return sum(self.choices.costs[position] for position in self.chosen) + self.penalty * self.in_conflict

    def change(self, label: int, position: int) -> tuple[float, int]:
        """What the sum would change by if the label moved there, and how many troubles the label would have."""
        choices, taken, troubles, owner = self.choices, self.taken, self.troubles, self.owner
        before = self.chosen[label]
        trouble = int(choices.blocked[position])
        conflicts = 0
        leaving = choices.clashes[before]
        for other in choices.clashes[position]:
            if taken[other]:
                trouble += 1
                if troubles[owner[other]] == 0:
                    conflicts += 1
        for other in leaving:
            # A label that stays in the way of this one has its trouble either way.
            if taken[other] and troubles[owner[other]] == 1 and other not in choices.clashes[position]:
                conflicts -= 1
        conflicts += (trouble > 0) - (troubles[label] > 0)
        return choices.costs[position] - choices.costs[before] + self.penalty * conflicts, trouble

    def move(self, label: int, position: int, trouble: int) -> None:
        """Move the label; `trouble` is what `change` said."""
        choices, taken, troubles, owner = self.choices, self.taken, self.troubles, self.owner
        before = self.chosen[label]
        for other in choices.clashes[before]:
            if taken[other]:
                troubles[owner[other]] -= 1
        for other in choices.clashes[position]:
            if taken[other]:
                troubles[owner[other]] += 1
        taken[before], taken[position] = False, True
        self.chosen[label], troubles[label] = position, trouble


def greedy(choices: Choices) -> list[int]:
    """The cheapest free position for each label, else the cheapest.

    First come labels whose positions differ most in cost, which would lose most; among equals, those with the fewest
    free ones.
    """
    taken = [False] * len(choices.costs)
    chosen = [0] * choices.count

    def free(position: int) -> bool:
        return not choices.blocked[position] and not any(taken[other] for other in choices.clashes[position])

    spans = [range(choices.firsts[i], choices.firsts[i + 1]) for i in range(choices.count)]
    costs = [[choices.costs[position] for position in span] for span in spans]
    lost = [min(some) - max(some) for some in costs]
    order = sorted(range(choices.count), key=lambda i: (lost[i], sum(not choices.blocked[p] for p in spans[i]), i))
    for label in order:
        cheapest = sorted(spans[label], key=lambda position: (choices.costs[position], position))
        position = next((one for one in cheapest if free(one)), cheapest[0])
        chosen[label] = position
        taken[position] = True
    return chosen


def choose(choices: Choices, schedule: Schedule) -> list[int]:
    """One position for each label, the best met on the way; the labels in conflict can be counted in `Arrangement`."""
    best = greedy(choices)
    now = Arrangement(choices, schedule.penalty, best)
    movable = [i for i in range(choices.count) if choices.firsts[i + 1] - choices.firsts[i] > 1]
    if movable and schedule.moves:
        best = _annealed(now, movable, schedule)
        now = Arrangement(choices, schedule.penalty, best)
    settle(now)
    return now.chosen


def _annealed(now: Arrangement, movable: Sequence[int], schedule: Schedule) -> list[int]:
    draw = Random(schedule.seed).random
    firsts = now.choices.firsts
    cost = least = now.cost
    best = list(now.chosen)
    warmth = schedule.warm
    cooling = (schedule.cold / schedule.warm) ** (1 / schedule.moves)
    for _ in range(schedule.moves):
        warmth *= cooling
        label = movable[int(draw() * len(movable))]
        first = firsts[label]
        position = first + int(draw() * (firsts[label + 1] - first - 1))
        if position >= now.chosen[label]:
            position += 1
        change, trouble = now.change(label, position)
        if change <= 0 or draw() < exp(-change / warmth):
            now.move(label, position, trouble)
            cost += change
            if cost < least - 1e-9:
                least, best = cost, list(now.chosen)
    return best


def settle(now: Arrangement) -> None:
    """Move single labels as long as that makes the sum smaller."""
    firsts = now.choices.firsts
    moved = True
    while moved:
        moved = False
        for label in range(now.choices.count):
            options = [
                (*now.change(label, position), position)
                for position in range(firsts[label], firsts[label + 1])
                if position != now.chosen[label]
            ]
            if options:
                change, trouble, position = min(options)
                if change < -1e-9:
                    now.move(label, position, trouble)
                    moved = True
