"""What happens to pieces, spools and filler lots, and what is withdrawn of it."""

from joints.actions.record_lot_moves import record_lot_moves
from joints.actions.record_piece_events import record_piece_events
from joints.actions.record_spool_steps import record_spool_steps
from joints.actions.withdraw_shop_records import withdraw_shop_records
from records.api.fields import flag, key, named, number, one_of, text, translated
from records.api.record_fields import BY, JOB, WRITTEN, in_shop, withdrawn
from records.api.resource import Resource, Thing
from records.models import FillerLot, Job, LotMove, Piece, PieceEvent, Spool, SpoolStep, Stamp, Withdrawal
from records.models.shop import CHECK_RESULTS, EVENTS, MOVES, QUANTITY_UNITS, STEPS

# As the API calls what can be withdrawn in the shop, by the name that the record keeps.
KINDS = {"pieceevent": "piece-event", "spoolstep": "spool-step", "lotmove": "lot-move"}

PIECE_EVENTS = Resource(
    "piece-events",
    "PieceEvent",
    "One event in the life of a piece; a cut or a split with the part that it made, a record for each part.",
    PieceEvent,
    in_shop(
        "piece_id",
        {
            "drawing": text("piece__sheet__drawing"),
            "sheet": text("piece__sheet__number"),
            "piece": text("piece__mark"),
        },
        {
            "event": one_of("event", EVENTS).required(),
            "part_id": key("part_id", nullable=True, about="The piece that a cut or a split made").optional(),
            "mark_transferred": flag(
                "mark_transferred", nullable=True, about="Whether the part carries the heat number"
            ).optional(),
            "mark_by": text("mark_by", most=120, about="Who transferred the mark").optional(),
            "length_mm": number("length_mm").optional(),
        },
    ),
    filters=("piece_id",),
    extra=withdrawn("pieceevent"),
    verb="record piece",
    act=record_piece_events,
    thing=Thing("piece_id", "piece", Piece),
    defaults=BY,
)
SPOOL_STEPS = Resource(
    "spool-steps",
    "SpoolStep",
    "One step of a spool on its way to its place in the line; a dimensional check with its result.",
    SpoolStep,
    in_shop(
        "spool_id",
        {"line": text("spool__line__number"), "spool": text("spool__mark")},
        {
            "step": one_of("step", STEPS).required(),
            "result": one_of("result", ("", *CHECK_RESULTS)).optional(),
        },
    ),
    filters=("spool_id",),
    extra=withdrawn("spoolstep"),
    verb="record spool",
    act=record_spool_steps,
    thing=Thing("spool_id", "spool", Spool),
    defaults=BY,
)
LOT_MOVES = Resource(
    "lot-moves",
    "LotMove",
    "Filler of a lot that went out to a welder, or came back; a quantity with its unit.",
    LotMove,
    in_shop(
        "lot_id",
        {"lot": text("lot__number")},
        {
            "move": one_of("move", MOVES).required(),
            "stamp": named(Stamp, "stamp", "code").required(),
            "quantity": number("quantity", places=4).optional(),
            "unit": one_of("unit", ("", *QUANTITY_UNITS)).optional(),
            "oven": text("oven", most=40, about="The holding oven it came from or went to").optional(),
        },
    ),
    filters=("lot_id",),
    extra=withdrawn("lotmove"),
    verb="issue filler",
    act=record_lot_moves,
    thing=Thing("lot_id", "lot", FillerLot),
    defaults=BY,
)
SHOP_WITHDRAWALS = Resource(
    "shop-withdrawals",
    "ShopWithdrawal",
    "The statement that a record of a piece, a spool or a filler lot was made in error; a list is of one kind.",
    Withdrawal,
    {
        **JOB,
        "id": key("id").required(),
        "job": text("job__code", about="The code of the job").required(),
        "kind": translated("kind", KINDS).required(),
        "record": key("record", about="The id of what is withdrawn").required(),
        **{name: WRITTEN[name] for name in ("recorded_by", "recorded_at", "device_at")},
        "reason": text("reason", most=4000).required(),
    },
    verb="withdraw",
    act=withdraw_shop_records,
    thing=Thing("job", "job", Job, column="code", of_job="id", related=()),
    rows=lambda: Withdrawal.objects.filter(joint__isnull=True),
)
SHOP = (PIECE_EVENTS, SPOOL_STEPS, LOT_MOVES, SHOP_WITHDRAWALS)
