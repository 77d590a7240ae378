"""What a job made at random says of its pieces, spools and filler lots."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from random import Random
from typing import Any

from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_piece_events import record_piece_events
from joints.actions.record_spool_steps import record_spool_steps
from records.models import FillerLot, Job, LotMove, Piece, PieceEvent, Spool, SpoolStep, Stamp
from records.models.base import ShopRecord
from records.models.shop import CHECK_RESULTS, EVENTS, MOVES, PARTING, STEPS

SHOP: dict[type[ShopRecord], Callable[..., Any]] = {
    PieceEvent: record_piece_events, SpoolStep: record_spool_steps, LotMove: record_lot_moves,
}  # fmt: skip
ABOUT: dict[type[ShopRecord], tuple[str, type[Any]]] = {
    PieceEvent: ("piece", Piece), SpoolStep: ("spool", Spool), LotMove: ("lot", FillerLot),
}  # fmt: skip
# In kg, 5 lb among them; whole ones are pieces too.
QUANTITIES = tuple(map(Decimal, ("2.268", "0.5", "12", "0.0001", "1.1235")))
LENGTHS = tuple(map(Decimal, ("1.5875", "0.000001", "25.4", "6096", "1000")))


def about_what(kind: type[ShopRecord], job: Job, random: Random) -> dict[str, Any]:
    """The thing that a record is about."""
    name, model = ABOUT[kind]
    return {name: random.choice(model.objects.filter(job=job).order_by("id"))}


def said_in_shop(
    one: ShopRecord, job: Job, random: Random, short: Sequence[str], texts: Sequence[str]
) -> dict[str, Any]:
    """What a record of a thing says."""
    said = {"place": random.choice(("", *short)), "remark": random.choice(("", *texts))}
    if isinstance(one, PieceEvent):
        event = random.choice(EVENTS)
        parts = Piece.objects.filter(job=job).exclude(id=one.piece_id).order_by("mark")
        part = random.choice((None, *parts)) if event in PARTING else None
        return said | {
            "event": event, "part": part, "mark_transferred": random.choice((None, True, False)),
            "mark_by": random.choice(("", *short)), "length_mm": random.choice((None, *LENGTHS)),
        }  # fmt: skip
    if isinstance(one, SpoolStep):
        step = random.choice(STEPS)
        return said | {"step": step, "result": random.choice(CHECK_RESULTS) if step == STEPS[0] else ""}
    quantity = random.choice((None, *QUANTITIES))
    return said | {
        "move": random.choice(MOVES), "stamp": random.choice(Stamp.objects.filter(job=job).order_by("code")),
        "quantity": quantity, "unit": random.choice(("kg", "pieces") if quantity == 12 else ("kg",)) if quantity else "",
        "oven": random.choice([one for one in ("", *short) if len(one) <= 40]),
    }  # fmt: skip
