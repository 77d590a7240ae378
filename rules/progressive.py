"""Progressive examination: what a reject in a sample asks next."""

from collections.abc import Sequence
from dataclasses import dataclass

from rules.nearest import NotAccepted
from rules.source import Source

PER_DEFECT = 2
MOST_ROUNDS = 2
AGAIN = (
    "A repaired item found defective again is repaired until it is accepted and asks for no more samples; the spot or "
    "random examination then goes on with what is not examined (341.3.4(f))."
)
SOURCE = Source("ASME B31.3", "2012", "341.3.4", "checked")
PER_EACH, IN_ALL = "each", "all"
ACCEPTED, TWO_MORE, EXAMINE_ALL = "accepted", "two-more", "examine-all"


@dataclass(frozen=True, slots=True)
class Progress:
    """Where the sampling stands.

    due_now      examinations asked now (None: all that are left, and their number is not known)
    extra_total  extra examinations asked so far, those due now included
    repairs      defective items found so far, each to be repaired or replaced and examined again
    """

    state: str
    due_now: int | None
    extra_total: int
    repairs: int
    steps: tuple[str, ...]


def progressive(
    rejects: int, rounds: Sequence[Sequence[bool]], available: int | None = None, first_batch: str = PER_EACH
) -> Progress:
    """What the first batch's rejects and the rounds examined since ask for.

    rejects    of the first random or spot batch
    rounds     results of each round of extra examinations in turn, True for accepted; a third holds those of all items,
               where that was chosen after a reject in the second
    available  items left that are eligible: of the same kind, by the same welder, from the original lot
    first_batch  two more for each of its defects, or two in all: the text is written for one defect
    Raises     ValueError for a negative count, another reading, a round with more results than it asks for, or one that
               is not asked for
    Source     ASME B31.3 341.3.4: two more for each defect (a), then two more for each of those (c), then all (e)
               (two for each defect of the first batch is the usual reading of a text written for one); a repaired item
               found defective again asks for none (f)
    """
    if rejects < 0 or (available is not None and available < 0):
        raise ValueError("Counts cannot be negative; accepted are whole numbers from 0.")
    if first_batch not in (PER_EACH, IN_ALL):
        raise NotAccepted(f'There is no reading "{first_batch}"', first_batch, (PER_EACH, IN_ALL))
    steps: list[str] = []
    defects = repairs = rejects
    asked_total = 0
    for number in range(MOST_ROUNDS):
        if defects == 0:
            return _accepted(rounds, number, asked_total, repairs, steps)
        asked = PER_DEFECT * (1 if number == 0 and first_batch == IN_ALL else defects)
        results = list(rounds[number]) if number < len(rounds) else []
        counted = "two in all" if asked != PER_DEFECT * defects else f"{defects} defective x {PER_DEFECT}"
        steps.append(f"{counted} = {asked} more of the same welder and lot")
        if len(results) > asked:
            raise ValueError(f"Round {number + 1} asks for {asked} examinations and has {len(results)} results.")
        if len(results) < asked:
            _refuse_beyond(rounds, number + 1)
            return _pending(
                asked - len(results), asked_total + len(results), repairs + results.count(False), available, steps
            )
        asked_total += asked
        defects = results.count(False)
        repairs += defects
    if defects == 0:
        return _accepted(rounds, MOST_ROUNDS, asked_total, repairs, steps)
    return _all(rounds, asked_total, repairs, available, steps)


def _accepted(rounds: Sequence[Sequence[bool]], begun: int, asked: int, repairs: int, steps: list[str]) -> Progress:
    _refuse_beyond(rounds, begun)
    return Progress(ACCEPTED, 0, asked, repairs, (*steps, "all represented items are accepted"))


def _all(
    rounds: Sequence[Sequence[bool]], asked: int, repairs: int, available: int | None, steps: list[str]
) -> Progress:
    """After a reject in the second round: every represented item is repaired or replaced, or all are examined."""
    _refuse_beyond(rounds, MOST_ROUNDS + 1)
    steps.append("a reject in the second round: repair, replace or examine all represented items")
    results = list(rounds[MOST_ROUNDS]) if len(rounds) > MOST_ROUNDS else []
    bad = results.count(False)
    if results:
        told = f"{bad} to repair or replace and examine again, none asks for more samples"
        steps.append(f"all are examined: {len(results)} so far, {told}")
    done = asked + len(results) + (available or 0)
    return Progress(EXAMINE_ALL, available, done, repairs + bad, tuple(steps))


def _refuse_beyond(rounds: Sequence[Sequence[bool]], asked: int) -> None:
    """Refuse results of a round that nothing asks for."""
    if any(rounds[asked:]):
        raise ValueError(f"Results of round {asked + 1} are given, and nothing asks for that round yet.")


def _pending(due: int, done: int, repairs: int, available: int | None, steps: list[str]) -> Progress:
    """Examinations still to make; where fewer are left than asked, all of them are examined."""
    if available is not None and due > available:
        steps.append(f"{due} asked, {available} left: all of them are examined")
        return Progress(EXAMINE_ALL, available, done + available, repairs, tuple(steps))
    return Progress(TWO_MORE, due, done + due, repairs, tuple(steps))
