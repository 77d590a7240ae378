"""Choose the joints of a lot that are examined, at random or by hand, once each."""

import hashlib
from collections.abc import Iterable, Sequence

from inspection.actions.record_examinations import METHODS
from records.models import Job, Pick, User
from records.models.examination import PICKED_FOR, PICKED_HOW
from records.recording import record
from records.refusals import Fault
from rules.lots import Lot, LotWeld


def pick_joints(drafts: Sequence[Pick], *, job: Job, by: User) -> list[Pick]:
    """Record which joints were chosen; a draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, attempt, method, stage, purpose, how, day and by
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    From then on the examination is due on the joint, and every joint of the lot is judged again.
    """
    return record(drafts, job=job, by=by, verb="choose samples", check=faults)


def is_undrawn(how: str | None, draw: str) -> bool:
    """Whether a random pick does not say what its draw can be repeated from."""
    return how == "random" and not draw.strip()


def faults(draft: Pick) -> Iterable[Fault]:
    """Yield the words that can't be, and a draw that can't be repeated."""
    if draft.method not in METHODS:
        yield Fault("method", f"{draft.method!r} is no examination method known here.", ", ".join(METHODS))
    if draft.purpose not in PICKED_FOR:
        yield Fault("purpose", f"{draft.purpose!r} is nothing that joints are picked for.", ", ".join(PICKED_FOR))
    if draft.how not in PICKED_HOW:
        yield Fault("how", f"{draft.how!r} is no way to pick.", ", ".join(PICKED_HOW))
    if is_undrawn(draft.how, draft.draw):
        yield Fault("draw", "A random pick needs what its draw can be repeated from.", "the seed and the number drawn")
    if not draft.by.strip():
        yield Fault("by", "Who picked the joint is missing.", "the inspector's name")


def drawn(lot: Lot, seed: str, purpose: str, count: int, welder: str = "") -> list[LotWeld]:
    """Draw joints of a lot that are neither examined nor picked, in the order of SHA-256 over the seed and the joint.

    For a sample, a joint of each welder of whom nothing is examined or picked comes first; anybody can repeat the draw.
    """
    order = sorted(open_welds(lot, welder), key=lambda one: hashlib.sha256(f"{seed} {one.name}".encode()).hexdigest())
    taken: list[LotWeld] = []
    lacking = set(unseen(lot)) if purpose == "sample" else set()
    for one in order:
        if lacking & set(one.welders):
            taken.append(one)
            lacking -= set(one.welders)
    taken += [one for one in order if one not in taken]
    return taken[:count]


def open_welds(lot: Lot, welder: str = "") -> list[LotWeld]:
    """The welds of a lot that can still be picked, of one welder where one is named."""
    return [one for one in lot.standing if not one.result and not one.picked and (not welder or welder in one.welders)]


def unseen(lot: Lot) -> list[str]:
    """Welders of whom nothing is examined and nothing is picked for the sample."""
    picked = {who for one in lot.standing if one.picked == "sample" and not one.result for who in one.welders}
    return [who for who in lot.lacking if who not in picked]
