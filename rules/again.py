"""What a repair or a new weld brings back: the methods that rejected the weld, and what was made before it."""

from collections.abc import Mapping, Sequence

from rules.facts import ExaminationFacts, JointFacts
from rules.source import Source

FINAL_STAGES = ("", "final")
_REJECTED, _ACCEPTED = "rejected", "accepted"
# A repair after these reopens them.
_REOPENED = frozenset(("PWHT", "hardness", "leak test"))
_SAME_METHOD = Source("ASME B31.3", "", "341.3.3", "memory")
_REPAIRED = Source("ASME B31.3", "", "345.2.6", "memory")


def again(joint: JointFacts, attempts: Sequence[str]) -> Mapping[str, ExaminationFacts]:
    """By method the record of an earlier attempt for which the current one is examined, treated or tested again.

    A reject counts until the method accepts a later attempt, or accepts after the last pass, whatever attempt it names.
    A heat treatment, a hardness and a leak test count where the current attempt was welded after them: a repair by
    grinding reopens none.
    Source    ASME B31.3 341.3.3: new work by the same methods (from memory); 345.2.6
    """
    if len(attempts) < 2:
        return {}
    place = {label: number for number, label in enumerate(attempts)}
    current = attempts[-1]
    welded_on = max((one.done_on for one in joint.passes if one.attempt == current), default=None)
    found: dict[str, ExaminationFacts] = {}
    for one in joint.examinations:
        if one.attempt == current or one.stage not in FINAL_STAGES:
            continue
        is_since = welded_on is not None and one.done_on >= welded_on
        is_reopened = one.method in _REOPENED and welded_on is not None and not is_since
        before = found.get(one.method)
        if one.result == _REJECTED or (one.result == _ACCEPTED and is_reopened):
            found[one.method] = one
        elif one.result == _ACCEPTED and before and (is_since or place[one.attempt] > place[before.attempt]):
            del found[one.method]
    return found


def why(one: ExaminationFacts) -> tuple[str, Source]:
    """Why the method of an earlier record is due again, as a part of a sentence, and the source."""
    if one.result == _REJECTED:
        return f"it rejected the weld on {one.done_on}, and new work is examined by the same method", _SAME_METHOD
    return f"that of {one.done_on} came before the weld was repaired", _REPAIRED
