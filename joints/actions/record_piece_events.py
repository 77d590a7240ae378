"""Record what happens to pieces, one event or thousands, once each."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.db.models import Q

from records.judging import judge_touched
from records.lookups import Keys
from records.models import Job, Joint, PieceEvent, User
from records.models.shop import EVENTS, PARTING
from records.refusals import Fault
from records.shop_recording import record_in_shop
from records.shop_refresh import refresh_pieces

LONGEST_MM = Decimal(100_000)
# Whoever corrects or withdraws one of these lifts or sets a hold.
HOLDS = ("on hold", "off hold")


def record_piece_events(drafts: Sequence[PieceEvent], *, job: Job, by: User) -> list[PieceEvent]:
    """Record events of pieces as they happened; a draft sent again returns the stored record.

    drafts  each with the id made on the device, piece, event and day; a cut or a split with the part that it made
    Raises  NotAllowed (role; a hold is lifted by whoever may), RecordClash (an id used for other content),
            Implausible (a value that can't be)
    An event that does not follow the one before is recorded; the state follows from all of them.
    """
    replaced = [one.replaces_id for one in drafts if one.replaces_id]
    before = list(PieceEvent.objects.filter(job=job, id__in=replaced)) if replaced else []
    lifted = any(one.event == "off hold" for one in drafts) or any(one.event in HOLDS for one in before)
    verbs = ["record piece", *(["lift hold"] if lifted else [])]

    def follow(new: Sequence[PieceEvent]) -> None:
        judge_pieces([*new, *before], job=job, by=by)

    return record_in_shop(drafts, job=job, by=by, verbs=verbs, about="piece", check=faults, follow=follow)


def judge_pieces(events: Iterable[PieceEvent], *, job: Job, by: User) -> None:
    """Derive again the pieces that events speak of, and the joints that they are planned in."""
    pieces = {key for one in events for key in (one.piece_id, one.part_id) if key}
    refresh_pieces(job, pieces)
    keys = Keys(pieces)
    joints = Joint.objects.filter(Q(piece_a_id__among=keys) | Q(piece_b_id__among=keys), job=job)
    judge_touched(job, lambda: joints.values_list("id", flat=True), by=by)


def faults(draft: PieceEvent) -> Iterable[Fault]:
    """Yield what can't be: an unknown event, a part of what was not cut, a length below zero or beyond any pipe."""
    if draft.event not in EVENTS:
        yield Fault("event", f"{draft.event!r} is no event of a piece.", ", ".join(EVENTS))
    if draft.part_id and draft.event not in PARTING:
        yield Fault("part", f"A piece that is {draft.event} makes no part.", "a part with cut or split")
    if draft.part_id and draft.part_id == draft.piece_id:
        yield Fault("part", "A piece can't be cut from itself.", "the mark of another piece")
    if draft.length_mm is not None and not 0 < draft.length_mm <= LONGEST_MM:
        yield Fault("length", "This length can't be.", f"more than 0, up to {LONGEST_MM} mm")
