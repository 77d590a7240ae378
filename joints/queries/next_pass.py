"""What the next pass most likely is: its place, kind and process, and the values of the last one to offer again."""

from dataclasses import dataclass
from typing import Any

from joints.measures import PASS
from joints.queries.joint_card import Card
from records.models import Job, Pass, Stamp
from records.models.procedure import PASS_ROLES
from rules.attempts import is_repair
from rules.units import figure

OFFERED = ("amps", "volts", "travel", "preheat", "interpass")


@dataclass(frozen=True, slots=True)
class NextPass:
    """What is proposed for the next pass, and what was measured last time, by field.

    proposed   values that are set beforehand: they are no measurements
    offered    measurements of the person's last pass, to take over with a tap, never set beforehand
    """

    proposed: dict[str, Any]
    offered: dict[str, str]


def next_pass(card: Card) -> NextPass:
    """Return the proposal for a joint's next pass; one query."""
    last = card.passes[-1] if card.passes else None
    stamp = card.stamps[0].code if card.stamps else card.joint.assigned.code if card.joint.assigned else ""
    procedure = card.plan.joint.procedure
    role = next_role(card)
    row = next((one for one in card.procedure_rows if one.role == role), None)
    process = row.process if row else last.process if last else next(iter(procedure.processes), "") if procedure else ""
    mine = last_pass_of(card.stamps[0], process) if card.stamps else None
    proposed = {"order": card.next_order, "role": role, "process": process, "stamp": stamp}
    asked = row.filler if row else ""
    before = next((one for one in (last, mine) if one and one.process == process and _is_of(one, asked)), None)
    if before is not None:
        proposed["filler_lot"] = before.filler_lot_id
    return NextPass({name: value for name, value in proposed.items() if value}, _offered(mine or last, card.job))


def _is_of(one: Pass, filler: str) -> bool:
    """Whether a pass names a lot of the filler asked for: another must be chosen, never set beforehand."""
    lot = one.filler_lot
    return lot is not None and (not filler or lot.classification.casefold() == filler.casefold())


def next_role(card: Card) -> str:
    """Root, then hot where the procedure has one, then fill until the last pass it asks for, then cap.

    A pass that is not all round yet goes on. The first pass of a repair may be any of them: nothing is proposed.
    """
    if card.open_pass:
        return card.open_pass.role
    made = [one.role for one in card.passes]
    if not made:
        return "" if is_repair(card.joint.attempt) else "root"
    planned = {one.role for one in card.procedure_rows}
    if "hot" in planned and "hot" not in made and made[-1] == "root":
        return "hot"
    procedure = card.plan.joint.procedure
    asked = max((procedure.passes_min or 0) if procedure else 0, 2)
    if made[-1] == "cap" or "fill" not in planned or card.next_order >= asked:
        return "cap"
    return PASS_ROLES[2]


def last_pass_of(stamp: Stamp, process: str) -> Pass | None:
    """Return the pass that was welded last under a stamp by a process; one query that an index answers."""
    return Pass.objects.filter(stamp=stamp, process=process).select_related("filler_lot").order_by("-done_on").first()


def _offered(last: Pass | None, job: Job) -> dict[str, str]:
    if last is None:
        return {}
    return {
        one.field: last.typed.get(one.word) or figure(value, one.unit, job.units)
        for one in PASS
        if one.word in OFFERED and (value := getattr(last, one.column)) is not None
    }
