"""Progressive examination: what a reject in a sample asks next."""

from collections.abc import Sequence
from dataclasses import dataclass

from rules.nearest import NotAccepted
from rules.source import Source

PER_DEFECT = 2
MOST_ROUNDS = 2
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
    rounds     results of each round of extra examinations in turn, True for accepted
    available  items left that are eligible: of the same kind, by the same welder, from the original lot
    first_batch  two more for each of its defects, or two in all: the text is written for one defect
    Raises     ValueError for a negative count, another reading, or a round with more results than it asks for
    Source     ASME B31.3 341.3.4: two more for each defect, then two more for each of those, then all
               (two for each defect of the first batch is the usual reading of a text written for one)
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
            return Progress(ACCEPTED, 0, asked_total, repairs, (*steps, "all represented items are accepted"))
        asked = PER_DEFECT * (1 if number == 0 and first_batch == IN_ALL else defects)
        results = list(rounds[number]) if number < len(rounds) else []
        counted = "two in all" if asked != PER_DEFECT * defects else f"{defects} defective x {PER_DEFECT}"
        steps.append(f"{counted} = {asked} more of the same welder and lot")
        if len(results) > asked:
            raise ValueError(f"Round {number + 1} asks for {asked} examinations and has {len(results)} results.")
        if len(results) < asked:
            return _pending(
                asked - len(results), asked_total + len(results), repairs + results.count(False), available, steps
            )
        asked_total += asked
        defects = results.count(False)
        repairs += defects
    if defects == 0:
        return Progress(ACCEPTED, 0, asked_total, repairs, (*steps, "all represented items are accepted"))
    steps.append("a reject in the second round: repair, replace or examine all represented items")
    return Progress(EXAMINE_ALL, available, asked_total + (available or 0), repairs, tuple(steps))


def _pending(due: int, done: int, repairs: int, available: int | None, steps: list[str]) -> Progress:
    """Examinations still to make; where fewer are left than asked, all of them are examined."""
    if available is not None and due > available:
        steps.append(f"{due} asked, {available} left: all of them are examined")
        return Progress(EXAMINE_ALL, available, done + available, repairs, tuple(steps))
    return Progress(TWO_MORE, due, done + due, repairs, tuple(steps))
