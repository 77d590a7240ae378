"""What this person can do at a joint now: the one next step, and everything else in words."""

from dataclasses import dataclass

from django.urls import reverse

from joints.actions.withdraw_records import ATTENDANCE, SIGNED
from joints.next_step import EXAMINE
from joints.queries.joint_card import Card
from joints.queries.joint_history import ATTENDED_WORDS, Entry

METHODS = ("VT", "RT", "PT", "MT")
MADE = ("fitted", "in progress", "welded", "rejected", "accepted", "released")
MAKING = ("fit up", "weld", "assign")
PAST = frozenset({"welded", "rejected", "accepted", "released"})
WHO = {"fit up": "a welder", "weld": "a welder", "decide repair": "the inspector", "release": "the inspector"}


@dataclass(frozen=True, slots=True)
class Act:
    """A deed with the address of its page."""

    words: str
    address: str


@dataclass(frozen=True, slots=True)
class Acts:
    """The main action (None where this person has none), what it waits for, the others, and what was only forgotten."""

    main: Act | None
    waits: str
    others: tuple[Act, ...]
    late: tuple[Act, ...] = ()


def acts_of(card: Card, verbs: frozenset[str]) -> Acts:
    """Work out what a person with these verbs can do at the joint."""
    if card.joint.state == "withdrawn":
        return Acts(None, "This joint is withdrawn.", ())
    possible = _possible(card, verbs)
    step = card.joint.next_step
    wanted = "assign" if _wants_assigning(card, verbs) else step
    main = possible.get(wanted)
    others, late = _parted(card, {name: act for name, act in possible.items() if name != wanted})
    if step in ("", "nothing"):
        return Acts(None, "Nothing is left to do at this joint.", others, late)
    waiting = WHO.get(step, "the inspector") if main is None else ""
    return Acts(main, f"Next: {step}, by {waiting}." if waiting else "", others, late)


def _parted(card: Card, possible: dict[str, Act]) -> tuple[tuple[Act, ...], tuple[Act, ...]]:
    """What belongs to the joint's state, and what can only be told after the event: it is recorded all the same."""
    done = set(MAKING) if card.joint.state in PAST else set()
    if card.joint.state == "released":
        done |= set(possible)
    others = tuple(act for name, act in possible.items() if name not in done)
    return others, tuple(act for name, act in possible.items() if name in done)


def _wants_assigning(card: Card, verbs: frozenset[str]) -> bool:
    """A foreman's next step is to find somebody, where nobody is assigned and welding is still ahead."""
    return "assign" in verbs and card.joint.assigned_id is None and card.joint.next_step in ("fit up", "weld")


def _possible(card: Card, verbs: frozenset[str]) -> dict[str, Act]:
    joint, found = card.joint, dict[str, Act]()
    # What is told after the event is told of anybody.
    mine = f" as {card.stamps[0].code}" if joint.state not in PAST and card.stamps else ""
    if "record fit-up" in verbs:
        found["fit up"] = Act(f"Record fit-up{mine}", _to(card, "fit-up-record"))
    if "record pass" in verbs:
        found["weld"] = Act(f"Record pass {card.next_order}{mine}", _to(card, "pass-record"))
    if "assign" in verbs:
        found["assign"] = Act(
            "Assign a welder" if joint.assigned_id is None else "Assign another welder", _to(card, "joint-assign")
        )
    if "examine" in verbs and joint.state in MADE:
        for method in _methods(card):
            found[EXAMINE + method] = Act(f"Record {method}", _to(card, "examination-record", method))
    if "decide repair" in verbs and joint.state == "rejected":
        found["decide repair"] = Act("Decide the repair", _to(card, "repair-decide"))
    if "notify owner" in verbs and card.plan.joint.points:
        words = "Attend or waive a point" if "attend" in verbs else "Tell the owner of a point"
        found["attend"] = Act(words, _to(card, "hold-points-of-joint"))
    conceded = joint.state == "rejected" and not joint.stops
    if "release" in verbs and (joint.state in ("welded", "accepted") or conceded):
        found["release"] = Act(f"Release joint {joint.number}", _to(card, "joint-release"))
    return found


def _methods(card: Card) -> list[str]:
    planned = [rule.method for rule in card.plan.exam_rules]
    return list(dict.fromkeys([*planned, *METHODS]))


def _to(card: Card, route: str, *more: str) -> str:
    return reverse(route, args=[card.job.code, card.joint.id, *more])


CORRECTED_AT = {
    "fitup": ("record fit-up", "fit-up-record"),
    "pass": ("record pass", "pass-record"),
    "examination": ("examine", "examination-record"),
    "repairdecision": ("decide repair", "repair-decide"),
}


@dataclass(frozen=True, slots=True)
class Mending:
    """Where one record is corrected and where it is withdrawn; empty where this person may not."""

    correct: str = ""
    withdraw: str = ""


def mending_of(card: Card, entry: Entry, verbs: frozenset[str]) -> Mending:
    """Work out how an entry can be mended; one that counts no more can't."""
    if entry.struck or entry.kind == "joint" or card.joint.state == "withdrawn":
        return Mending()
    verb, route = CORRECTED_AT.get(entry.kind, ("", ""))
    correct = ""
    if verb in verbs:
        method = [entry.method] if entry.kind == "examination" else []
        correct = f"{_to(card, route, *method)}?replaces={entry.id}"
    if entry.kind == ATTENDANCE:
        may = "notify owner" in verbs and (entry.title.endswith(ATTENDED_WORDS["notified"]) or "attend" in verbs)
        return Mending("", _to(card, "attendance-withdraw", str(entry.id)) if may else "")
    may_withdraw = {"withdraw", SIGNED.get(entry.kind, "withdraw")} <= verbs
    withdraw = f"{_to(card, 'record-withdraw')}?kind={entry.kind}&record={entry.id}" if may_withdraw else ""
    return Mending(correct, withdraw)


def override_address(card: Card, name: str) -> str:
    """Return where findings of the joint are overridden, by the name of one of them."""
    return f"{_to(card, 'finding-override')}?finding={name}"
