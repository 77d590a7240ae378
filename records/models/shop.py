"""What happens to pieces, spools and filler lots: one record for each event, step or move."""

from django.db import models
from django.db.models import F, Q

from records.models.base import ShopRecord, measure, millimetres, one_of

EVENTS = ("received", "on hold", "off hold", "issued", "cut", "returned", "scrapped", "split")
# Events that make parts of a piece: by the saw, or by a cut-out.
PARTING = ("cut", "split")
STEPS = ("dimensional check", "cleaned", "coated", "released", "shipped", "received", "erected")
CHECK_RESULTS = ("accepted", "rejected")
MOVES = ("issued", "returned")
PIECES = "pieces"
QUANTITY_UNITS = ("kg", PIECES)


class PieceEvent(ShopRecord):
    """One event in the life of a piece; a cut into several parts has one record for each part."""

    piece = models.ForeignKey("records.Piece", on_delete=models.PROTECT, related_name="events")
    event = models.CharField(max_length=12)
    part = models.ForeignKey(
        "records.Piece", on_delete=models.PROTECT, null=True, blank=True, related_name="made_by",
        help_text="What a cut or a split made of the piece",
    )  # fmt: skip
    mark_transferred = models.BooleanField(null=True, blank=True, help_text="Whether the part carries the heat number")
    mark_by = models.CharField(max_length=120, blank=True, default="", help_text="Who transferred the mark")
    length_mm = millimetres(null=True, blank=True, help_text="Of the part, or of what went back to stock")
    typed = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            one_of("event", EVENTS, "piece_event_known"),
            models.CheckConstraint(
                condition=Q(part__isnull=True) | (Q(event__in=PARTING) & ~Q(part=F("piece"))),
                name="piece_event_part_of_a_cut",
            ),
        ]
        indexes = [models.Index(fields=["job", "event"], name="piece_event_by_kind")]


class SpoolStep(ShopRecord):
    """One step of a spool on its way from the bench to its place in the line."""

    spool = models.ForeignKey("records.Spool", on_delete=models.PROTECT, related_name="steps")
    step = models.CharField(max_length=20)
    result = models.CharField(max_length=8, blank=True, default="", help_text="Of a dimensional check")

    class Meta:
        constraints = [
            one_of("step", STEPS, "spool_step_known"),
            models.CheckConstraint(
                condition=(Q(step="dimensional check") & Q(result__in=CHECK_RESULTS))
                | (~Q(step="dimensional check") & Q(result="")),
                name="spool_step_result_of_a_check",
            ),
        ]


class LotMove(ShopRecord):
    """Filler of a lot that went out to a welder, or came back."""

    lot = models.ForeignKey("records.FillerLot", on_delete=models.PROTECT, related_name="moves")
    move = models.CharField(max_length=8)
    stamp = models.ForeignKey("records.Stamp", on_delete=models.PROTECT, related_name="lot_moves")
    quantity = measure(null=True, blank=True)
    unit = models.CharField(max_length=6, blank=True, default="")
    oven = models.CharField(max_length=40, blank=True, default="", help_text="The holding oven it came from or went to")
    typed = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            one_of("move", MOVES, "lot_move_known"),
            one_of("unit", QUANTITY_UNITS, "lot_move_unit_known", blank=True),
            models.CheckConstraint(
                condition=Q(quantity__isnull=True, unit="") | (Q(quantity__gt=0) & ~Q(unit="")),
                name="lot_move_quantity_has_unit",
            ),
        ]
