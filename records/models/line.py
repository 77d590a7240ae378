"""Lines, their drawing sheets, and the spools they are made in."""

from django.db import models

from records.models.base import Master, measure, one_of
from records.models.prefix_index import PrefixIndex

SPOOL_STATES = (
    "in fabrication", "checked", "check rejected", "cleaned", "coated", "released", "shipped", "received", "erected",
)  # fmt: skip
FLUID_SERVICES = ("Normal", "Category D", "Category M", "High pressure")


class Line(Master):
    """A pipe run with one line number, service and piping class."""

    number = models.CharField(max_length=80)
    service = models.CharField(max_length=80, blank=True, default="")
    fluid_service = models.CharField(max_length=20, default="Normal")
    nps = models.CharField(max_length=12, blank=True, default="")
    schedule = models.CharField(max_length=12, blank=True, default="")
    material = models.CharField(max_length=80, blank=True, default="")
    severe_cyclic = models.BooleanField(default=False)
    elevated_temperature = models.BooleanField(default=False)
    piping_class = models.CharField(max_length=40, blank=True, default="")
    design_pressure_kpa = measure(null=True, blank=True)
    design_temperature_c = measure(null=True, blank=True)
    exam_plan = models.ForeignKey(
        "records.ExamPlan", on_delete=models.PROTECT, null=True, blank=True, related_name="lines"
    )
    planned_start = models.DateField(
        null=True, blank=True, help_text="The day on which its first joint is to be welded"
    )
    planned_finish = models.DateField(
        null=True, blank=True, help_text="The day on which its last joint is to be welded"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="line_number_once_per_job"),
            one_of("fluid_service", FLUID_SERVICES, "line_fluid_service_known"),
        ]

    def __str__(self) -> str:
        return self.number


class Sheet(Master):
    """One sheet of a line's isometric drawing, at its current revision."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="sheets")
    drawing = models.CharField(max_length=80)
    number = models.CharField(max_length=16)
    revision = models.CharField(max_length=16, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "drawing", "number"], name="sheet_once_per_job")]
        indexes = [PrefixIndex(fields=["job", "drawing", "number"], name="sheet_named")]

    def __str__(self) -> str:
        return f"{self.drawing}/{self.number}"


class Spool(Master):
    """A prefabricated piece of a line, between field joints.

    `sort_key` is set when the row is made; `state`, `place` and `last_on` follow from its steps, and only
    `records.shop_refresh` writes them.
    """

    DERIVED = ("sort_key", "state", "place", "last_on")

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="spools")
    mark = models.CharField(max_length=80)
    sort_key = models.CharField(max_length=200, blank=True, default="", help_text="Line and mark, to sort")

    state = models.CharField(max_length=16, default="in fabrication")
    place = models.CharField(max_length=80, blank=True, default="", help_text="Where it was last")
    last_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "line", "mark"], name="spool_mark_once_per_line"),
            one_of("state", SPOOL_STATES, "spool_state_known"),
        ]
        indexes = [
            models.Index(fields=["job", "sort_key"], name="spool_by_mark"),
            models.Index(fields=["job", "state", "sort_key"], name="spool_by_state"),
            PrefixIndex(fields=["job", "mark", "sort_key"], name="spool_named"),
        ]

    def __str__(self) -> str:
        return self.mark
