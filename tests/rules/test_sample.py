"""How large a sample is and whom it represents, by hand; progressive examination as a state machine."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.extent import extent
from rules.progressive import ACCEPTED, EXAMINE_ALL, IN_ALL, MOST_ROUNDS, PER_EACH, TWO_MORE, progressive
from rules.sample import TYPE, WELDER, sample

D = Decimal


def test_the_share_is_rounded_up_and_every_welder_has_one() -> None:
    # 5 % of 61 is 3.05, so 4; three welders.
    welds = {("A1", "butt"): 40, ("A1", "socket"): 9, ("B2", "butt"): 11, ("C3", "butt"): 1}
    found = sample(D(5), welds)
    assert found.size == 4
    assert found.of == {("A1",): 2, ("B2",): 1, ("C3",): 1}
    assert found.steps[0] == "5 % of 61 welds, rounded up = 4"


def test_every_type_of_weld_by_each_welder_raises_the_sample() -> None:
    welds = {("A1", "butt"): 10, ("A1", "socket"): 10, ("B2", "butt"): 10, ("B2", "socket"): 10, ("B2", "branch"): 1}
    found = sample(D(5), welds, TYPE)
    assert found.size == 5  # 5 % of 41 is 3, raised to one for each of five
    assert set(found.of.values()) == {1}
    assert found.source.state == "memory"


def test_a_share_of_nothing_asks_for_nobody() -> None:
    assert sample(D(0), {("A1", "butt"): 5}).size == 0
    assert sample(D(5), {}).size == 0
    assert sample(D(5), {("A1", "butt"): 0}).of == {}


def test_refuses_what_is_no_share() -> None:
    for percent, welds in ((D(101), {}), (D(-1), {}), (D(5), {("A1", "butt"): -1})):
        with pytest.raises(ValueError, match="between 0 and 100"):
            sample(percent, welds)
    with pytest.raises(ValueError, match="accepted are"):
        sample(D(5), {}, "day")


lots = st.dictionaries(
    st.tuples(st.sampled_from("ABCDE"), st.sampled_from(["butt", "socket", "branch"])), st.integers(0, 60), max_size=12
)


@given(st.decimals("0.5", "100", places=1), lots, st.sampled_from([WELDER, TYPE]))
def test_a_sample_is_never_short_never_over_its_lot_and_forgets_nobody(percent: D, welds: dict, each: str) -> None:
    found = sample(percent, welds, each)
    total = sum(welds.values())
    assert percent * total / 100 <= found.size <= total
    assert sum(found.of.values()) == found.size
    for group, number in found.of.items():
        assert 1 <= number <= sum(count for key, count in welds.items() if key[: len(group)] == group)
    assert {group[0] for group in found.of} == {welder for (welder, _), count in welds.items() if count}


@given(lots, st.decimals("0.5", "99", places=1), st.decimals("0", "1", places=1))
def test_a_greater_share_never_asks_for_less(welds: dict, percent: D, more: D) -> None:
    assert sample(percent, welds).size <= sample(percent + more, welds).size


def test_seams_are_examined_in_elevated_temperature() -> None:
    # 341.4.4: all longitudinal welds of P-4 and P-5; 5 % of 20 girth welds is 1.
    assert extent("Elevated temperature", 20, 0, longitudinal=3, p_number="5A").rt == 4
    assert extent("Elevated temperature", 20, 0, longitudinal=3, p_number="1").rt == 1
    assert extent("Normal", 20, 0, longitudinal=3).rt == 1


def test_the_first_batch_may_be_read_as_two_in_all() -> None:
    assert progressive(3, ()).due_now == 6
    found = progressive(3, (), first_batch=IN_ALL)
    assert (found.due_now, found.steps[0]) == (2, "two in all = 2 more of the same welder and lot")
    # The second round is two for each defect in either reading.
    assert progressive(3, ([False, False],), first_batch=IN_ALL).due_now == 4
    assert progressive(1, (), first_batch=IN_ALL) == progressive(1, ())
    with pytest.raises(ValueError, match="accepted are"):
        progressive(1, (), first_batch="some")


def test_where_all_are_examined_their_rejects_ask_for_no_more_samples() -> None:
    # 341.3.4(e)(2): one reject, two more with one reject, two more with one reject; of the 7 left 3 are examined by now.
    rounds = [[True, False], [False, True], [True, False, False]]
    found = progressive(1, rounds, 4)
    assert (found.state, found.due_now, found.extra_total, found.repairs) == (EXAMINE_ALL, 4, 4 + 3 + 4, 1 + 1 + 1 + 2)
    assert (
        found.steps[-1]
        == "all are examined: 3 so far, 2 to repair or replace and examine again, none asks for more samples"
    )
    ended = progressive(1, [*rounds[:2], [True] * 7], 0)
    assert (ended.state, ended.due_now, ended.extra_total, ended.repairs) == (EXAMINE_ALL, 0, 11, 3)
    assert progressive(1, rounds, None).due_now is None


@pytest.mark.parametrize(
    ("rejects", "rounds", "number"),
    [
        (0, [[True]], 1),
        (1, [[True, True], [True]], 2),
        (1, [[True], [True]], 2),
        (1, [[False, True], [True, True], [True]], 3),
        (1, [[False, True], [False, True], [True], [True]], 4),
    ],
)
def test_refuses_results_that_nothing_asks_for(rejects: int, rounds: list[list[bool]], number: int) -> None:
    with pytest.raises(ValueError, match=rf"^Results of round {number} are given, and nothing asks for that round yet"):
        progressive(rejects, rounds)
    assert progressive(rejects, rounds[: number - 1]).repairs == rejects + sum(
        one.count(False) for one in rounds[: number - 1]
    )


def results(seed: int) -> Iterator[bool]:
    """An endless sequence of results out of a number's bits."""
    while True:
        for place in range(64):
            yield bool(seed >> place & 1)


@given(st.integers(0, 12), st.integers(0, 60), st.integers(0, 2**64 - 1), st.sampled_from([PER_EACH, IN_ALL]))
def test_progressive_examination_ends_for_every_sequence_and_never_asks_for_more_than_there_are(
    rejects: int, lot: int, seed: int, reading: str
) -> None:
    """Walk a lot to its end, examining what is asked one at a time."""
    outcome = results(seed)
    rounds: list[list[bool]] = [[] for _ in range(MOST_ROUNDS)]
    left, number = lot, 0
    for _ in range(lot + 1):
        found = progressive(rejects, rounds[: number + 1], left, reading)
        assert found.due_now is not None and 0 <= found.due_now <= left
        if found.state != TWO_MORE:
            break
        step = progressive(rejects, rounds[: number + 1], None, reading)
        if step.due_now and number + 1 < MOST_ROUNDS and progressive_round_is_full(rejects, rounds, number, reading):
            number += 1
        rounds[number].append(next(outcome))
        left -= 1
    assert found.state in (ACCEPTED, EXAMINE_ALL)
    assert found.repairs == rejects + sum(one.count(False) for one in rounds)
    assert found.extra_total <= lot


def progressive_round_is_full(rejects: int, rounds: list[list[bool]], number: int, reading: str) -> bool:
    """Whether the current round has all the results that it asks for: one more would be refused."""
    try:
        progressive(rejects, [*rounds[:number], [*rounds[number], True]], None, reading)
    except ValueError:
        return True
    return False


def test_each_kind_of_weld_has_its_own_arithmetic_and_their_sum() -> None:
    # ASME B31.3 K341.4: all girth and branch welds; 341.4.4 with P-4: 5 % of girth, all longitudinal and socket welds.
    pressure = extent("High pressure", 41, 12, branch=2)
    assert (pressure.rt, pressure.vt, pressure.surface) == (43, 55, 0)
    assert pressure.steps[:3] == (
        "radiography: 100 % of 41 girth welds, rounded up = 41",
        "radiography: 100 % of 2 branch welds, rounded up = 2",
        "radiography in all: 41 + 2 = 43",
    )
    hot = extent("Elevated temperature", 41, 12, p_number="4", longitudinal=2)
    assert (hot.rt, hot.surface) == (5, 12)
    assert "radiography in all: 3 + 2 = 5" in hot.steps
    assert hot.steps[-1] == "surface: 100 % of 12 socket welds, rounded up = 12"


def test_a_share_raised_for_the_welders_and_a_p_number_taken_for_granted_are_told() -> None:
    assert extent("Normal", 20, 0, welders=3).steps[0] == (
        "radiography: 5 % of 20 girth welds, rounded up = 1, raised to one for each of 3 welders = 3"
    )
    assert extent("Normal", 2, 0, welders=3).steps[0].endswith("raised to all of them = 2")
    unknown = extent("Elevated temperature", 10, 4)
    assert unknown.surface == 4 and "the P-Number is not given" in unknown.steps[-1]
