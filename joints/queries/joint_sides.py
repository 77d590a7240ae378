"""The two sides of a joint: the piece of each, the heat it is planned in, and the one that was read off at fit-up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from records.heats_read import heats_named
from records.models import FitUp, Heat, Joint, Piece
from rules.attempts import sequence
from rules.compare import folded
from rules.facts import JointFacts
from rules.reweld import Replaced, replaced_sides

READ, BEFORE = "read at fit-up", "before the cut-out"


@dataclass(frozen=True, slots=True)
class HeatOfSide:
    """A heat number of a side.

    heat    the heat that is meant, None where the job has none of that number
    words   where the number comes from, empty where it is planned and nothing was read
    is_out  whether it is another heat than the planned one, or none of the job
    """

    number: str
    heat: Heat | None
    words: str = ""
    is_out: bool = False


@dataclass(frozen=True, slots=True)
class Side:
    """One side of a joint; of two heats the planned one comes first."""

    name: str
    piece: Piece | None
    material: str
    heats: tuple[HeatOfSide, ...]


def sides_of(joint: Joint, plan: JointFacts, fit_ups: Sequence[FitUp]) -> tuple[Side, Side]:
    """Return the sides of a joint that came with its pieces and heats; one query where another heat was read.

    plan     its facts with the decisions on it
    fit_ups  those that stand, in order, of all its attempts
    """
    replaced, attempts = replaced_sides(plan), sequence(plan)
    read = {}
    for side in ("A", "B"):
        gone = attempts[: attempts.index(replaced[side].since)] if side in replaced else ()
        numbers = [getattr(one, f"heat_{side.lower()}_read") for one in fit_ups if one.attempt not in gone]
        read[side] = next((number for number in reversed(numbers) if number), "")
    planned = {"A": joint.heat_a, "B": joint.heat_b}
    unplanned = [read[side] for side, heat in planned.items() if not (heat and heat.number == read[side])]
    known = heats_named(joint.job_id, [number for number in unplanned if number])
    heats = {
        side: tuple(_heats(heat, read[side], known.get(read[side]), replaced.get(side)))
        for side, heat in planned.items()
    }
    return (
        Side("A", joint.piece_a, joint.material_a, heats["A"]),
        Side("B", joint.piece_b, joint.material_b, heats["B"]),
    )


def _heats(planned: Heat | None, read: str, heat: Heat | None, replaced: Replaced | None) -> Iterable[HeatOfSide]:
    if not read:
        return [HeatOfSide(planned.number, planned, BEFORE if replaced and replaced.is_sure else "")] if planned else []
    if planned and read == planned.number:
        return [HeatOfSide(read, planned, READ)]
    if planned and (heat is None or heat == planned) and folded(read) == folded(planned.number):
        return [HeatOfSide(planned.number, planned, f"{READ} as {read}")]
    unknown = "" if heat else "; the job has no heat of that number"
    if planned is None:
        return [HeatOfSide(read, heat, READ + unknown, is_out=heat is None)]
    if replaced:
        return [HeatOfSide(planned.number, planned, BEFORE), HeatOfSide(read, heat, READ + unknown, heat is None)]
    return [
        HeatOfSide(planned.number, planned, "planned"),
        HeatOfSide(read, heat, f"{READ}, not the planned one{unknown}", is_out=True),
    ]
