"""Welding procedure specifications and their passes."""

from django.db import models

from records.models.base import Master, measure, millimetres, one_of

PASS_ROLES = ("root", "hot", "fill", "cap")
PROCESSES = ("GTAW", "SMAW", "FCAW", "GMAW", "SAW", "PAW")


class Procedure(Master):
    """A WPS at its current revision; empty lists mean no restriction."""

    number = models.CharField(max_length=60)
    revision = models.CharField(max_length=16, blank=True, default="")
    p_numbers = models.JSONField(default=list)
    p_numbers_b = models.JSONField(default=list, blank=True)
    processes = models.JSONField(default=list)
    pqr = models.CharField(max_length=120, blank=True, default="")
    joint_kinds = models.JSONField(default=list, blank=True)
    thickness_min_mm = millimetres(null=True, blank=True)
    thickness_max_mm = millimetres(null=True, blank=True)
    deposit_max_mm = millimetres(null=True, blank=True)
    outside_diameter_min_mm = millimetres(null=True, blank=True)
    positions = models.JSONField(default=list, blank=True)
    progression = models.CharField(max_length=12, blank=True, default="")
    backing = models.CharField(max_length=3, blank=True, default="")
    preheat_min_c = measure(null=True, blank=True)
    interpass_max_c = measure(null=True, blank=True)
    heat_input_max_kj_mm = measure(null=True, blank=True)
    gap_min_mm = millimetres(null=True, blank=True)
    gap_max_mm = millimetres(null=True, blank=True)
    squareness_max_mm = millimetres(null=True, blank=True)
    high_low_max_mm = millimetres(null=True, blank=True)
    passes_min = models.PositiveSmallIntegerField(null=True, blank=True)
    stop_spacing_min_degrees = measure(null=True, blank=True)
    pwht = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="procedure_once_per_job")]

    def __str__(self) -> str:
        return self.number


class ProcedurePass(Master):
    """What a procedure says of one kind of pass."""

    procedure = models.ForeignKey(Procedure, on_delete=models.PROTECT, related_name="passes")
    role = models.CharField(max_length=4)
    process = models.CharField(max_length=8)
    filler = models.CharField(max_length=40)
    filler_diameter_mm = millimetres(null=True, blank=True)
    f_number = models.CharField(max_length=8, blank=True, default="")
    polarity = models.CharField(max_length=12, blank=True, default="")
    shielding_gas = models.CharField(max_length=60, blank=True, default="")
    amps_min = measure(null=True, blank=True)
    amps_max = measure(null=True, blank=True)
    volts_min = measure(null=True, blank=True)
    volts_max = measure(null=True, blank=True)
    travel_min_mm_min = measure(null=True, blank=True)
    travel_max_mm_min = measure(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["procedure", "role", "process", "filler"], name="procedure_pass_once"),
            one_of("role", PASS_ROLES, "procedure_pass_role_known"),
        ]
