"""Base metals, heats with their certificates, filler lots and the pieces of a line."""

from django.db import models

from records.models.base import Master, measure, millimetres, one_of
from records.models.prefix_index import PrefixIndex

PIECE_STATES = ("planned", "in stock", "issued", "cut to size", "cut up", "on hold", "split", "scrapped")


class Material(Master):
    """A base metal that the built-in list lacks."""

    name = models.CharField(max_length=80)
    p_number = models.CharField(max_length=8)
    group = models.CharField(max_length=8, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="material_once_per_job")]


class Certificate(Master):
    """A mill test report or other paper, by its number; the file may come later."""

    number = models.CharField(max_length=120)
    file = models.FileField(upload_to="certificates/", max_length=200, blank=True, default="")
    file_name = models.CharField(max_length=200, blank=True, default="")
    size = models.PositiveIntegerField(default=0)
    sha256 = models.CharField(max_length=64, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="certificate_once_per_job")]


class Heat(Master):
    """A melt, with what its certificate says of it."""

    number = models.CharField(max_length=80)
    material = models.CharField(max_length=80)
    manufacturer = models.CharField(max_length=120, blank=True, default="")
    item = models.CharField(max_length=120, blank=True, default="")
    size = models.CharField(max_length=40, blank=True, default="")
    certificate = models.ForeignKey(Certificate, on_delete=models.PROTECT, null=True, blank=True, related_name="heats")
    analysis = models.CharField(max_length=8, default="heat")
    elements = models.JSONField(default=dict, blank=True, help_text="Weight percent by symbol, as decimal text")
    tensile_mpa = measure(null=True, blank=True)
    yield_mpa = measure(null=True, blank=True)
    elongation_percent = measure(null=True, blank=True)
    hardness = measure(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="heat_once_per_job"),
            one_of("analysis", ("heat", "product"), "heat_analysis_known"),
        ]


class FillerLot(Master):
    """A lot of filler metal."""

    number = models.CharField(max_length=80)
    classification = models.CharField(max_length=40)
    diameter_mm = millimetres(null=True, blank=True)
    heat = models.CharField(max_length=80, blank=True, default="")
    certificate = models.ForeignKey(
        Certificate, on_delete=models.PROTECT, null=True, blank=True, related_name="filler_lots"
    )

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="filler_lot_once_per_job")]


class Piece(Master):
    """One physical pipe length, fitting, flange or valve of a sheet.

    `sort_key` is set when the row is made; `state`, `place` and `last_on` follow from its records, and only
    `records.shop_refresh` writes them.
    """

    DERIVED = ("sort_key", "state", "place", "last_on")

    sheet = models.ForeignKey("records.Sheet", on_delete=models.PROTECT, related_name="pieces")
    mark = models.CharField(max_length=40)
    kind = models.CharField(max_length=40)
    nps = models.CharField(max_length=12)
    second_nps = models.CharField(max_length=12, blank=True, default="")
    schedule = models.CharField(max_length=12, blank=True, default="")
    pressure_class = models.CharField(max_length=12, blank=True, default="")
    material = models.CharField(max_length=80, blank=True, default="")
    heat = models.ForeignKey(Heat, on_delete=models.PROTECT, null=True, blank=True, related_name="pieces")
    length_mm = millimetres(null=True, blank=True)
    sort_key = models.CharField(max_length=200, blank=True, default="", help_text="Drawing, sheet and mark, to sort")

    state = models.CharField(max_length=12, default="planned")
    place = models.CharField(max_length=80, blank=True, default="", help_text="Where it was last")
    last_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sheet", "mark"], name="piece_mark_once_per_sheet"),
            one_of("state", PIECE_STATES, "piece_state_known"),
        ]
        indexes = [
            models.Index(fields=["job", "sort_key"], name="piece_by_mark"),
            models.Index(fields=["job", "state", "sort_key"], name="piece_by_state"),
            PrefixIndex(fields=["job", "mark", "sort_key"], name="piece_named"),
        ]

    def __str__(self) -> str:
        return self.mark
