"""Lines, their drawing sheets, and the spools they are made in."""

from django.db import models

from records.models.base import Master, measure, one_of

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

    def __str__(self) -> str:
        return f"{self.drawing}/{self.number}"


class Spool(Master):
    """A prefabricated piece of a line, between field joints."""

    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="spools")
    mark = models.CharField(max_length=80)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "line", "mark"], name="spool_mark_once_per_line")]

    def __str__(self) -> str:
        return self.mark
