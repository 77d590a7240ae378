"""Cut a piece into parts: a record for each part, and a row for each part that the job did not know."""

from collections.abc import Sequence
from uuid import uuid5

from django.db import transaction

from joints.actions.record_piece_events import record_piece_events
from joints.actions.save_plan import save_plan
from records.models import Job, Piece, PieceEvent, User
from records.permissions import require
from records.refusals import Fault, Implausible
from records.retrying import retried
from records.shop_recording import take
from records.sorting import natural_key

LONGEST_MARK = 40


@retried
def cut_piece(draft: PieceEvent, marks: Sequence[str], *, job: Job, by: User) -> list[PieceEvent]:
    """Record a cut or a split into the parts of these marks, on the piece's own sheet; sent again it changes nothing.

    draft   the event without its part; the first record keeps its id, the others have ids that follow from it
    marks   at least one; a mark that the sheet lacks becomes a piece of the same size, material and heat
    Raises  NotAllowed, RecordClash, Implausible (a mark too long, or the piece's own)
    """
    require(by, job, "record piece")
    piece = draft.piece
    wanted = list(dict.fromkeys(marks))
    if fault := _fault(piece, wanted):
        raise Implausible(fault.message, [fault])
    with transaction.atomic():
        # Whoever sends the same cut at the same moment waits, and then finds the parts.
        take(job, alone=True)
        known = {one.mark: one for one in Piece.objects.filter(sheet_id=piece.sheet_id, mark__in=wanted)}
        fresh = [part_of(piece, mark) for mark in wanted if mark not in known]
        save_plan(fresh, job=job, by=by, verb="record piece", reason=f"{draft.event} from piece {piece.mark}")
        known |= {one.mark: one for one in fresh}
        drafts = [_copy(draft, known[mark], place) for place, mark in enumerate(wanted)]
        return record_piece_events(drafts, job=job, by=by)


def part_of(piece: Piece, mark: str) -> Piece:
    """Return a new part of a piece, unsaved: of its size, material and heat, on its sheet."""
    same = ("job_id", "sheet_id", "kind", "nps", "second_nps", "schedule", "pressure_class", "material", "heat_id")
    part = Piece(mark=mark, **{name: getattr(piece, name) for name in same})
    part.sort_key = natural_key(piece.sheet.drawing, piece.sheet.number, mark)
    return part


def _copy(draft: PieceEvent, part: Piece, place: int) -> PieceEvent:
    values = {field.attname: getattr(draft, field.attname) for field in draft._meta.concrete_fields}
    copy = PieceEvent(**values)
    copy.id = draft.id if place == 0 else uuid5(draft.id, part.mark)
    copy.piece, copy.part = draft.piece, part
    return copy


def _fault(piece: Piece, marks: Sequence[str]) -> Fault | None:
    if not marks:
        return Fault("parts", "A cut makes at least one part.", "the mark of each part, with commas between")
    if long := next((mark for mark in marks if len(mark) > LONGEST_MARK), None):
        return Fault("parts", f"The mark {long[:20]}... is too long.", f"up to {LONGEST_MARK} characters")
    if piece.mark in marks:
        return Fault("parts", f"Piece {piece.mark} can't be cut from itself.", "marks of other pieces")
    return None
