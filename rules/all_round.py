"""Passes that are recorded over part of the circumference alone, in a weld that goes on over them or is complete."""

from collections.abc import Iterator, Sequence

from rules.case import Case, found
from rules.coverage import is_all_round, left_open
from rules.dial import clock_of
from rules.facts import PassFacts
from rules.finding import Finding
from rules.source import Source

_PRACTICE = Source("common practice", state="practice")
# A lug or a shoe is welded where it touches the pipe.
_NOT_ROUND = "attachment"


def findings(case: Case) -> Iterator[Finding]:
    """One finding for each kind of pass that leaves part of the circle open under a later one, or in a complete weld.

    The passes of one kind are taken together: halves may be recorded as two passes, and a bead that fills up a low
    place runs beside others. A repair is welded where it is needed. What a segment does not say is not judged.
    """
    if all(_is_no_part(one) for one in case.passes) or case.joint.kind == _NOT_ROUND:
        return
    passes = [one for one in case.passes if one.attempt == case.live[0]]
    for role in dict.fromkeys(one.role for one in passes):
        mine = [one for one in passes if one.role == role]
        gaps = left_open(mine)
        if gaps and (why := _why(case, passes, mine[-1])):
            places = " and ".join(f"{clock_of(start)} to {clock_of(stop)}" for start, stop in gaps)
            numbers = ", ".join(str(number) for number in dict.fromkeys(one.order for one in mine))
            yield found(
                case,
                "pass-not-all-round",
                f"Of the {role} (pass {numbers}) nothing is recorded from {places} o'clock, and {why}.",
                _PRACTICE,
                attempt=mine[-1].attempt,
                record=mine[-1].id,
                measured=f"open from {places}",
                limit="all round",
            )


def _is_no_part(one: PassFacts) -> bool:
    """Whether a segment says that it is all round, or nothing of its place."""
    return one.start_degrees is None or one.stop_degrees is None or one.start_degrees == one.stop_degrees


def _why(case: Case, passes: Sequence[PassFacts], last: PassFacts) -> str:
    """What says that the pass should be all round by now; empty where the weld may still go on there."""
    if case.base_welded:
        return "the weld is complete"
    for order in dict.fromkeys(one.order for one in passes if one.order > last.order and one.role != last.role):
        above = [one for one in passes if one.order == order]
        says = all(one.start_degrees is not None and one.stop_degrees is not None for one in above)
        if says and is_all_round(above):
            return f"pass {order} ({above[0].role}) over it is all round"
    return ""
