"""The sequence of attempts at a joint: the original, its repairs, and the re-welds after a cut-out."""

import re
from collections.abc import Iterable, Sequence

from rules.facts import JointFacts, RepairFacts

ORIGINAL = "0"
REPAIR, CUT_OUT = "repair", "cut-out"
_LABEL = re.compile(r"([RW])(\d+)")


def sequence(joint: JointFacts) -> tuple[str, ...]:
    """All attempts in order: "0", then what each decision on the current one opens, then labels no decision opened.

    A repair opens R(n+1), a cut-out W(m+1); stray labels follow by number, R before W.
    """
    if not joint.repairs and not _strays_possible(joint):
        return (ORIGINAL,)
    opened = (ORIGINAL, *(label for _, label in decided(joint.repairs)))
    return (*opened, *strays(joint, opened))


def _strays_possible(joint: JointFacts) -> bool:
    for records in (joint.fit_ups, joint.passes, joint.examinations, joint.releases):
        for record in records:
            if record.attempt != ORIGINAL:
                return True
    return False


def decided(repairs: Sequence[RepairFacts]) -> list[tuple[RepairFacts, str]]:
    """The decisions that count, each with the attempt that it opened: the first one made on each attempt."""
    found: list[tuple[RepairFacts, str]] = []
    current, labels = ORIGINAL, {REPAIR: 0, CUT_OUT: 0}
    while decision := next((one for one in repairs if one.attempt == current), None):
        labels[decision.decision] += 1
        current = f"{'R' if decision.decision == REPAIR else 'W'}{labels[decision.decision]}"
        found.append((decision, current))
    return found


def surplus(repairs: Sequence[RepairFacts]) -> list[tuple[RepairFacts, RepairFacts]]:
    """Decisions on an attempt that was decided already, each with the one that counts instead."""
    first: dict[str, RepairFacts] = {}
    for one in repairs:
        first.setdefault(one.attempt, one)
    return [(one, first[one.attempt]) for one in repairs if first[one.attempt] is not one]


def strays(joint: JointFacts, opened: Iterable[str] | None = None) -> tuple[str, ...]:
    """Labels on records that no decision opened, in order of their number, R before W."""
    known = {ORIGINAL, *(label for _, label in decided(joint.repairs))} if opened is None else set(opened)
    labels = {
        record.attempt
        for records in (joint.fit_ups, joint.passes, joint.examinations, joint.releases, joint.repairs)
        for record in records
    }
    return tuple(sorted(labels - known, key=_order))


def live(attempts: Sequence[str]) -> tuple[str, ...]:
    """The attempts whose metal is still in the line: from the last re-weld (or the original) on."""
    start = max((index for index, label in enumerate(attempts) if label.startswith("W")), default=0)
    return tuple(attempts[start:])


def is_repair(attempt: str) -> bool:
    """Whether the attempt mends the weld before it, rather than making the joint anew."""
    return attempt.startswith("R")


def _order(label: str) -> tuple[int, str]:
    found = _LABEL.fullmatch(label)
    return (int(found[2]), found[1]) if found else (10**6, label)
