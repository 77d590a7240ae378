"""The pieces of a re-weld: which sides of the joint got another piece when it was cut out, and what was read off it."""

import re
from dataclasses import dataclass

from rules.attempts import CUT_OUT, decided
from rules.facts import HeatFacts, JointFacts

SIDES = ("A", "B")
_SIDE = re.compile(r"\bside ([ab])\b")
_TWO_SIDES = re.compile(r"side [ab](?:\s*[,;/&+]\s*|\s+and\s+)(?:side )?[ab]\b")
_BETWEEN = re.compile(r"\s*(?:,|;|/|&|\+|\band\b)\s*")


@dataclass(frozen=True, slots=True)
class Replaced:
    """A side whose planned heat says nothing any more.

    since    the first attempt on which another piece may stand there
    is_sure  whether the decision names the side; False where a cut-out does not say which piece went
    """

    since: str
    is_sure: bool


def scrapped_sides(said: str, mark_a: str, mark_b: str) -> frozenset[str] | None:
    """The sides of a joint whose piece went at a cut-out, None where that is not told.

    said            as recorded: a side, both, none, or marks of pieces ("side B, piece 6X", "both", "6X")
    mark_a, mark_b  the marks of the joint's pieces, empty where none is planned
    """
    text = said.strip().casefold()
    if _TWO_SIDES.match(text) or len(set(_SIDE.findall(text))) > 1:
        # What is said of each ("side A stays, side B went") nobody reads here.
        return frozenset(SIDES) if _TWO_SIDES.fullmatch(text) else None
    for begins, sides in (
        ("both", SIDES),
        (r"none(?! (?:known|recorded|told|noted))", ()),
        ("side a", ("A",)),
        ("side b", ("B",)),
    ):
        if re.match(rf"{begins}\b", text):
            return frozenset(sides)
    named = {mark.casefold(): side for mark, side in ((mark_b, "B"), (mark_a, "A")) if mark}
    words = {"a": "A", "b": "B"} | named
    found = [words.get(part.removeprefix("piece ")) for part in _BETWEEN.split(text)]
    return None if None in found else frozenset(side for side in found if side)


def replaced_sides(joint: JointFacts) -> dict[str, Replaced]:
    """The sides that hold another piece than the planned one, by side; none on a joint that was never cut out."""
    found: dict[str, Replaced] = {}
    if not joint.repairs:
        return found
    for decision, opened in decided(joint.repairs):
        if decision.decision != CUT_OUT:
            continue
        for side in SIDES:
            if decision.scrapped is None:
                found.setdefault(side, Replaced(opened, is_sure=False))
            elif side in decision.scrapped:
                found[side] = Replaced(opened, is_sure=True)
    return found


def read_since(joint: JointFacts, attempts: tuple[str, ...], side: str, since: str) -> tuple[str, HeatFacts | None]:
    """The heat number read last off a side from an attempt on, and that heat where the job knows it."""
    later = attempts[attempts.index(since) :]
    for one in reversed(joint.fit_ups):
        read, heat = (one.heat_a_read, one.heat_a) if side == "A" else (one.heat_b_read, one.heat_b)
        if read and one.attempt in later:
            return read, heat
    return "", None
