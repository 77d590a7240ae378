"""The sheets of the shop: what happened to pieces, spools and filler lots."""

from typing import Any, NamedTuple

from joints.actions import record_piece_events
from office.importing import words
from office.importing.accepts import accepting
from office.importing.cells import CellError, as_text
from office.importing.columns import SheetForm, needed, optional
from office.importing.parsers import Setting, length, long_text, one_of, yes_no
from office.importing.record_sheets import dated, refused_by
from records.models import LotMove, PieceEvent, SpoolStep
from rules.filler_quantity import parse_filler
from rules.units import UnitError


class Quantity(NamedTuple):
    """A weight or a count of filler."""

    amount: Any
    unit: str


def quantity(cell: Any, setting: Setting) -> Quantity:
    """A quantity of filler, whose bare number is in the job's units."""
    try:
        return Quantity(*parse_filler(as_text(cell), setting.units))
    except UnitError as error:
        raise CellError(str(error).rstrip(".")) from error


accepting(quantity, "5 lb, 2.5 kg, 20 pieces", "5 lb", bare=("lb", "kg"), is_quantity=True)
PIECE_EVENTS = SheetForm(
    "Piece events",
    PieceEvent,
    (
        needed("drawing"),
        needed("sheet"),
        needed("piece"),
        needed("event", one_of(words.PIECE_EVENTS, "event of a piece"), "event"),
        dated(),
        needed("by", field="by"),
        optional("part"),
        optional("mark transferred", yes_no, "mark_transferred"),
        optional("mark by", field="mark_by"),
        optional(
            "length",
            length,
            "length_mm",
            check=refused_by(record_piece_events.faults, PieceEvent(event="cut"), "length_mm"),
            is_typed=True,
        ),
        optional("place", field="place"),
        optional("remark", long_text, "remark"),
        optional("entry"),
    ),
    ("drawing", "sheet", "piece", "event", "date", "part"),
    ("entry",),
)
SPOOL_STEPS = SheetForm(
    "Spool steps",
    SpoolStep,
    (
        needed("line", names="line"),
        needed("spool"),
        needed("step", one_of(words.SPOOL_STEPS, "step of a spool"), "step"),
        dated(),
        needed("by", field="by"),
        optional("result", one_of(words.CHECK_RESULTS, "result of a dimensional check"), "result"),
        optional("place", field="place"),
        optional("remark", long_text, "remark"),
        optional("entry"),
    ),
    ("line", "spool", "step", "date"),
    ("entry",),
)
LOT_MOVES = SheetForm(
    "Lot moves",
    LotMove,
    (
        needed("lot", names="filler lot"),
        needed("move", one_of(words.LOT_MOVES, "move of filler"), "move"),
        needed("stamp", names="stamp"),
        dated(),
        optional("quantity", quantity, is_typed=True),
        optional("oven", field="oven"),
        optional("by", field="by"),
        optional("place", field="place"),
        optional("remark", long_text, "remark"),
        optional("entry"),
    ),
    ("lot", "move", "stamp", "date"),
    ("entry",),
)
