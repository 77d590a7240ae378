"""A spool on its way: its state from its steps, what is out of order, and what is missing before it goes on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

IN_FABRICATION, CHECKED, CHECK_REJECTED = "in fabrication", "checked", "check rejected"
CHECK, CLEANED, COATED, RELEASED = "dimensional check", "cleaned", "coated", "released"
SHIPPED, RECEIVED, ERECTED = "shipped", "received", "erected"
ORDER = (CHECK, CLEANED, COATED, RELEASED, SHIPPED, RECEIVED, ERECTED)
# What a step asks to be recorded before it. Cleaning and coating are not asked of every spool.
BEFORE = {COATED: CLEANED, RELEASED: CHECK, SHIPPED: RELEASED, RECEIVED: SHIPPED, ERECTED: RECEIVED}
_SAID = {CHECK: "an accepted dimensional check", CLEANED: "cleaning", RELEASED: "its release", SHIPPED: "shipping",
         RECEIVED: "its receipt on site"}  # fmt: skip
_SOUND = ("accepted", "released")
_WELDED = ("welded", "rejected", *_SOUND)


@dataclass(frozen=True, slots=True)
class StepFacts:
    """One step that stands recorded."""

    id: str
    step: str
    result: str  # of a dimensional check: accepted, rejected
    done_on: date
    done_at: datetime | None = None
    place: str = ""


@dataclass(frozen=True, slots=True)
class SpoolJoint:
    """What a joint of the spool has to say; a field joint is made after the spool has left."""

    number: str
    state: str
    is_field: bool
    accepted_on: date | None = None
    stops: int = 0


@dataclass(frozen=True, slots=True)
class SpoolStanding:
    """Where a spool stands: its state, the place last named, and the day of its last step."""

    state: str
    place: str = ""
    last_on: date | None = None


@dataclass(frozen=True, slots=True)
class Flag:
    """Something recorded out of its order; `step` is the id of the record it speaks of."""

    step: str
    message: str


def standing(steps: Sequence[StepFacts]) -> SpoolStanding:
    """Derive where a spool stands from its steps, in the order of their day: the furthest of ORDER counts."""
    if not steps:
        return SpoolStanding(IN_FABRICATION)
    furthest = max(steps, key=lambda one: ORDER.index(one.step)).step
    state = furthest
    if furthest == CHECK:
        last = [one for one in steps if one.step == CHECK][-1]
        state = CHECKED if last.result == "accepted" else CHECK_REJECTED
    place = next((one.place for one in reversed(steps) if one.place), "")
    return SpoolStanding(state, place, steps[-1].done_on)


def flags(steps: Sequence[StepFacts], joints: Sequence[SpoolJoint]) -> list[Flag]:
    """Say what was recorded out of order; nothing of it was refused.

    steps   the standing steps in the order of their day, then time
    joints  the spool's joints, withdrawn ones left out
    """
    return [flag for one in steps for flag in _flags_of(one, steps, joints)]


def _flags_of(one: StepFacts, steps: Sequence[StepFacts], joints: Sequence[SpoolJoint]) -> Iterator[Flag]:
    if asked := BEFORE.get(one.step):
        earlier = [other for other in steps if other.step == asked and _is_by(other, one)]
        if not earlier:
            yield Flag(one.id, f"{_named(one)} without {_SAID[asked]} before it.")
        elif asked == CHECK and earlier[-1].result == "rejected":
            rejected = earlier[-1].done_on
            yield Flag(one.id, f"{_named(one)} although the dimensional check of {rejected} rejected it.")
    if one.step in (RELEASED, SHIPPED):
        late = [joint for joint in _of_shop(joints) if not joint.accepted_on or joint.accepted_on > one.done_on]
        if late:
            yield Flag(one.id, f"{_named(one)} while {_listed(late)} not accepted by then.")


def missing(steps: Sequence[StepFacts], joints: Sequence[SpoolJoint]) -> list[str]:
    """Say what is still missing before the spool may be released, or, once released, before it may be shipped."""
    found = []
    if open_joints := [joint for joint in _of_shop(joints) if joint.state not in _SOUND]:
        found.append(f"{_sentence(_listed(open_joints))} not accepted yet.")
    if stopped := [joint for joint in _of_shop(joints) if joint.stops and joint.state in _SOUND]:
        found.append(f"{_sentence(_listed(stopped, 'has', 'have'))} a finding that stops the release.")
    done = {one.step for one in steps}
    checks = [one for one in steps if one.step == CHECK]
    if not checks:
        found.append("No dimensional check is recorded.")
    elif checks[-1].result == "rejected":
        found.append(f"The dimensional check of {checks[-1].done_on} rejected it.")
    if RELEASED not in done and done & {SHIPPED, RECEIVED, ERECTED}:
        found.append("Its release is not recorded.")
    return found


def next_step(steps: Sequence[StepFacts]) -> str:
    """The step that comes next, or an empty text when the spool is erected; a rejected check comes again."""
    state = standing(steps).state
    return "" if state == ERECTED else next_of(state)


def next_of(state: str) -> str:
    """The step that follows a state; erection follows itself. Cleaning and coating are not asked of every spool."""
    if state in (IN_FABRICATION, CHECK_REJECTED):
        return CHECK
    if state == CHECKED:
        return RELEASED
    return ORDER[min(ORDER.index(state) + 1, len(ORDER) - 1)]


def counted(joints: Sequence[SpoolJoint]) -> tuple[int, int, int]:
    """How many of the spool's joints are welded, how many accepted, and how many there are."""
    welded = sum(joint.state in _WELDED for joint in joints)
    return welded, sum(joint.state in _SOUND for joint in joints), len(joints)


def _of_shop(joints: Sequence[SpoolJoint]) -> list[SpoolJoint]:
    return [joint for joint in joints if not joint.is_field]


def _is_by(earlier: StepFacts, later: StepFacts) -> bool:
    if earlier.done_on == later.done_on and earlier.done_at and later.done_at:
        return earlier.done_at <= later.done_at
    return earlier.done_on <= later.done_on


def _named(one: StepFacts) -> str:
    return f"{one.step.capitalize()} on {one.done_on}"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _listed(joints: Sequence[SpoolJoint], one: str = "is", many: str = "are") -> str:
    """Return words such as: joint 3 is; joints 3, 5 and 2 more are."""
    if len(joints) == 1:
        return f"joint {joints[0].number} {one}"
    shown = ", ".join(joint.number for joint in joints[:6])
    more = f" and {len(joints) - 6} more" if len(joints) > 6 else ""
    return f"joints {shown}{more} {many}"
