"""The life of a piece: its state from its records, and what it shows on the joints that it was fitted in."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rules.case import Case, found
from rules.facts import PieceEventFacts, PieceFacts
from rules.finding import Finding
from rules.reweld import replaced_sides
from rules.source import Source
from rules.state import PLANNED as JOINT_PLANNED

PLANNED, IN_STOCK, ISSUED, CUT_TO_SIZE = "planned", "in stock", "issued", "cut to size"
CUT_UP, ON_HOLD, SPLIT, SCRAPPED = "cut up", "on hold", "split", "scrapped"
RECEIVED, OFF_HOLD, CUT, RETURNED = "received", "off hold", "cut", "returned"

# Of events of one day that came in together without times, what commonly comes first.
COMMONLY = (RECEIVED, ISSUED, CUT, SPLIT, RETURNED, ON_HOLD, OFF_HOLD, SCRAPPED)

_AFTER = {RECEIVED: IN_STOCK, RETURNED: IN_STOCK, ISSUED: ISSUED, CUT: CUT_UP, SPLIT: SPLIT}
_NEXT = {
    PLANNED: (RECEIVED, ISSUED, ON_HOLD),
    IN_STOCK: (ISSUED, CUT, ON_HOLD, SCRAPPED),
    ISSUED: (CUT, RETURNED, ON_HOLD, SCRAPPED),
    CUT_TO_SIZE: (RETURNED, CUT, ON_HOLD, SCRAPPED),
    CUT_UP: (RETURNED, CUT, ON_HOLD, SCRAPPED),
    ON_HOLD: (OFF_HOLD, SCRAPPED),
    SPLIT: (RETURNED, SCRAPPED, ON_HOLD),
    SCRAPPED: (),
}
_PRACTICE = Source("common practice", state="practice")


@dataclass(frozen=True, slots=True)
class PieceStanding:
    """Where a piece stands: its state, the place last named, the day of its last record, and what speaks against it."""

    state: str
    place: str = ""
    last_on: date | None = None
    facts: PieceFacts | None = None


def standing(mark: str, events: Sequence[PieceEventFacts]) -> PieceStanding:
    """Derive where a piece stands.

    mark    the piece's mark, for whatever is told of it
    events  its standing records in order, those of a cut that made it among them (`is_part`)
    A scrapped piece stays scrapped, and a hold holds until it is lifted, whatever else was recorded meanwhile; a piece
    that is taken off hold is free of every hold before, which the lifting record names.
    """
    state, place, scrapped, unmarked = PLANNED, "", None, None
    holds: tuple[PieceEventFacts, ...] = ()
    for one in events:
        place = one.place or place
        if one.is_part:
            state, unmarked = CUT_TO_SIZE, one if one.mark_transferred is False else None
        elif one.event in (ON_HOLD, OFF_HOLD):
            holds = (*holds, one) if one.event == ON_HOLD else ()
        elif one.event == SCRAPPED:
            scrapped = one
        else:
            state = _AFTER[one.event]
    if scrapped or holds:
        state = SCRAPPED if scrapped else ON_HOLD
    facts = PieceFacts(mark, holds, scrapped, unmarked) if holds or scrapped or unmarked else None
    return PieceStanding(state, place, events[-1].done_on if events else None, facts)


def lifting(holds: Sequence[PieceEventFacts]) -> str:
    """Say of a record that takes a piece off hold what it lifts: each open hold by its day and reason."""
    if not holds:
        return "No hold is open."
    return f"Lifts the hold{'s' if len(holds) > 1 else ''} {_each(holds, 'of')}."


def next_events(state: str) -> tuple[str, ...]:
    """The events that can sensibly follow a state, the likeliest first; any other is recorded all the same."""
    return _NEXT[state]


def findings(case: Case) -> list[Finding]:
    """What speaks against the pieces that a joint was fitted with: on hold, scrapped, cut without their mark."""
    if case.derived.state == JOINT_PLANNED and len(case.live) == 1:
        return []
    # Since a cut-out that names the side, another piece stands there than the plan has.
    gone = {side for side, replaced in replaced_sides(case.joint).items() if replaced.is_sure}
    sides = (("A", case.joint.piece_a), ("B", case.joint.piece_b))
    return [told for side, piece in sides if piece and side not in gone for told in _of_piece(case, side, piece)]


def _of_piece(case: Case, side: str, piece: PieceFacts) -> Iterator[Finding]:
    which = f"Piece {piece.mark} on side {side}"
    if one := piece.scrapped:
        told = f"{which} was scrapped on {one.done_on}{_why(one)}."
        yield _told(case, "piece-scrapped", told, piece, one, measured="scrapped", limit="a sound piece")
    elif piece.holds:
        told, one = f"{which} is on hold {_each(piece.holds, 'since')}.", piece.holds[-1]
        yield _told(case, "piece-on-hold", told, piece, one, measured="on hold", limit="off hold")
    if one := piece.unmarked:
        told = f"{which} was cut on {one.done_on}, and its heat number was not transferred to it."
        limit = "heat number on the part"
        yield _told(case, "mark-not-transferred", told, piece, one, measured="not transferred", limit=limit)


def _told(
    case: Case, code: str, told: str, piece: PieceFacts, event: PieceEventFacts, *, measured: str, limit: str
) -> Finding:
    return found(case, code, told, _PRACTICE, record=event.id, measured=measured, limit=limit, subject=piece.mark)


def _each(holds: Sequence[PieceEventFacts], word: str) -> str:
    return " and ".join(f"{word} {one.done_on}{_why(one)}" for one in holds)


def _why(event: PieceEventFacts) -> str:
    remark = event.remark.strip().rstrip(".")
    return f" ({remark})" if remark else ""
