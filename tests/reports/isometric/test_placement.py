"""The choice of label positions: held against exhaustive search, and against the figures of the public benchmark."""

from itertools import product
from random import Random

import pytest

from reports.isometric.placement.choose import Arrangement, Choices, Schedule, choose
from reports.isometric.placement.flat import boxes_meet, stroke_meets_box, strokes_cross
from reports.isometric.placement.grid import Grid
from tests.reports.isometric.random_points import all_drawn, labels, left_out_where_in_the_way

# Recalled from the literature, not looked up: share of labels free of conflict with four positions, in percent.
ANNEALING = {750: 92, 1000: 82}


def share_free(count: int, positions: int, seed: int, moves: int) -> float:
    choices = all_drawn(labels(count, positions, seed))
    schedule = Schedule(moves=moves, warm=0.5, cold=0.1, penalty=1.0)
    return 1 - Arrangement(choices, 1.0, choose(choices, schedule)).in_conflict / count


def share_kept(count: int, positions: int, seed: int, moves: int) -> float:
    """The share drawn where labels in the way are left out; none that is drawn is in conflict."""
    choices = left_out_where_in_the_way(labels(count, positions, seed))
    chosen = choose(choices, Schedule(moves=moves, warm=0.5, cold=0.1, penalty=1.01))
    assert Arrangement(choices, 1.0, chosen).in_conflict == 0
    return sum(position % (positions + 1) != positions for position in chosen) / count


@pytest.mark.parametrize(("count", "least"), [(250, 0.99), (750, 0.91), (1000, 0.81)])
def test_comes_up_to_the_figures_of_the_public_benchmark(count: int, least: float) -> None:
    assert share_free(count, 4, seed=1, moves=100_000) >= least


@pytest.mark.parametrize(("count", "least"), [(750, 0.95), (1000, 0.88)])
def test_keeps_as_many_labels_as_the_best_of_the_public_benchmark(count: int, least: float) -> None:
    """The best figures recalled are about 97 and 92 % after long searches; CI searches for a second."""
    assert share_kept(count, 4, seed=1, moves=200_000) >= least


@pytest.mark.soak
@pytest.mark.parametrize("positions", [4, 8])
@pytest.mark.parametrize("count", [250, 500, 750, 1000])
def test_prints_the_figures_of_the_public_benchmark(count: int, positions: int) -> None:
    seeds = range(25)
    free = [share_free(count, positions, seed, 1_000_000) for seed in seeds]
    kept = [share_kept(count, positions, seed, 2_000_000) for seed in seeds]
    means = [100 * sum(some) / len(seeds) for some in (free, kept)]
    print(f"{count} points, {positions} positions: all drawn {means[0]:.1f} % free; {means[1]:.1f} % kept")
    if positions == 4 and count in ANNEALING:
        assert means[0] >= ANNEALING[count]


def small(seed: int) -> Choices:
    """Six labels with three positions each and random costs, clashes and blocked positions."""
    draw = Random(seed)
    firsts = [3 * i for i in range(7)]
    clashes: list[set[int]] = [set() for _ in range(18)]
    for one, other in product(range(18), repeat=2):
        if one // 3 < other // 3 and draw.random() < 0.2:
            clashes[one].add(other)
            clashes[other].add(one)
    costs = [round(draw.random() * 10, 1) for _ in range(18)]
    return Choices(firsts, costs, [tuple(sorted(some)) for some in clashes], [draw.random() < 0.1 for _ in range(18)])


@pytest.mark.parametrize("seed", range(30))
def test_finds_the_arrangement_that_trying_all_of_them_finds(seed: int) -> None:
    choices = small(seed)
    spans = [range(choices.firsts[i], choices.firsts[i + 1]) for i in range(choices.count)]
    least = min(Arrangement(choices, 40.0, chosen).cost for chosen in product(*spans))
    found = choose(choices, Schedule(moves=4000, warm=40.0, cold=0.3, penalty=40.0))
    assert Arrangement(choices, 40.0, found).cost == pytest.approx(least)


def test_says_what_a_move_would_change() -> None:
    choices = small(3)
    now = Arrangement(choices, 7.0, [choices.firsts[i] for i in range(choices.count)])
    draw = Random(5)
    for _ in range(200):
        label = int(draw.random() * choices.count)
        position = choices.firsts[label] + int(draw.random() * 3)
        if position == now.chosen[label]:
            continue
        before = now.cost
        change, trouble = now.change(label, position)
        now.move(label, position, trouble)
        fresh = Arrangement(choices, 7.0, now.chosen)
        assert fresh.troubles == now.troubles
        assert now.cost == pytest.approx(before + change) == pytest.approx(fresh.cost)


def test_chooses_the_same_positions_every_time() -> None:
    choices = all_drawn(labels(300, 8, 2))
    schedule = Schedule(moves=20_000, warm=0.5, cold=0.1, penalty=1.0)
    assert choose(choices, schedule) == choose(choices, schedule)


@pytest.mark.parametrize(
    ("stroke", "meets"),
    [
        ((-5, 5, 15, 5), True),
        ((-5, 0, 15, 0), False),  # along an edge
        ((2, 2, 3, 3), True),  # inside
        ((-5, 4, 4, -5), False),  # past a corner
        ((-3, 5, 5, -3), True),  # through a corner
        ((11, 0, 20, 10), False),
    ],
)
def test_knows_whether_a_stroke_runs_through_a_box(stroke: tuple[int, int, int, int], meets: bool) -> None:
    assert stroke_meets_box(tuple(map(float, stroke)), (0.0, 0.0, 10.0, 10.0)) is meets  # type: ignore[arg-type]


def test_knows_whether_strokes_cross() -> None:
    assert strokes_cross((0, 0, 10, 10), (0, 10, 10, 0))
    assert strokes_cross((0, 0, 10, 0), (10, 0, 20, 5))  # touch
    assert strokes_cross((0, 0, 10, 0), (5, 0, 15, 0))  # overlap
    assert not strokes_cross((0, 0, 10, 0), (0, 1, 10, 1))
    assert not strokes_cross((0, 0, 10, 10), (6, 0, 20, 10))


def test_boxes_that_share_an_edge_do_not_meet() -> None:
    assert not boxes_meet((0, 0, 1, 1), (1, 0, 2, 1))
    assert boxes_meet((0, 0, 1, 1), (0.9, 0.9, 2, 2))


def test_the_grid_finds_every_neighbour() -> None:
    draw = Random(4)
    boxes = [(x, y, x + 12, y + 5) for x, y in ((draw.random() * 300 - 150, draw.random() * 200) for _ in range(200))]
    grid = Grid(17)
    for number, box in enumerate(boxes):
        grid.add(number, box)
    for box in boxes:
        meeting = {number for number, other in enumerate(boxes) if boxes_meet(box, other)}
        assert meeting <= set(grid.near(box))
