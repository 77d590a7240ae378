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
    decided = _decided(joint.repairs)
    return (*decided, *strays(joint, decided))


def _strays_possible(joint: JointFacts) -> bool:
    return any(
        record.attempt != ORIGINAL
        for records in (joint.fit_ups, joint.passes, joint.examinations, joint.releases)
        for record in records
    )


def _decided(repairs: Sequence[RepairFacts]) -> list[str]:
    """The attempts that decisions opened, each decided on the attempt current at that time."""
    opened = [ORIGINAL]
    pending = list(repairs)
    while decision := next((one for one in pending if one.attempt == opened[-1]), None):
        pending.remove(decision)
        letter = "R" if decision.decision == REPAIR else "W"
        opened.append(f"{letter}{sum(label.startswith(letter) for label in opened) + 1}")
    return opened


def strays(joint: JointFacts, decided: Iterable[str] | None = None) -> tuple[str, ...]:
    """Labels on records that no decision opened, in order of their number, R before W."""
    opened = set(_decided(joint.repairs) if decided is None else decided)
    labels = {
        record.attempt
        for records in (joint.fit_ups, joint.passes, joint.examinations, joint.releases, joint.repairs)
        for record in records
    }
    return tuple(sorted(labels - opened, key=_order))


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
