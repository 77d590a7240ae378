"""Welders, their stamps, what they are qualified for and what keeps it alive."""

from django.conf import settings
from django.db import models

from records.models.base import Master, millimetres, one_of


class Welder(Master):
    """A person who welds."""

    name = models.CharField(max_length=120)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="welders"
    )


class Stamp(Master):
    """A welder's mark, for one employer and period."""

    welder = models.ForeignKey(Welder, on_delete=models.PROTECT, related_name="stamps")
    code = models.CharField(max_length=20)
    employer = models.CharField(max_length=120, blank=True, default="")
    valid_from = models.DateField(null=True, blank=True)
    valid_to = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "code"], name="stamp_once_per_job")]

    def __str__(self) -> str:
        return self.code


class Qualification(Master):
    """One performance qualification (WPQ) as it was tested."""

    stamp = models.ForeignKey(Stamp, on_delete=models.PROTECT, related_name="qualifications")
    wpq = models.CharField(max_length=60)
    process = models.CharField(max_length=8)
    tested_on = models.DateField()
    p_number = models.CharField(max_length=8)
    f_number = models.CharField(max_length=8)
    positions = models.JSONField(default=list)
    coupon = models.CharField(max_length=5)
    coupon_diameter_mm = millimetres(null=True, blank=True)
    deposit_mm = millimetres()
    weld = models.CharField(max_length=6, default="groove")
    layers = models.PositiveSmallIntegerField(null=True, blank=True)
    backing = models.CharField(max_length=3, blank=True, default="")
    transfer = models.CharField(max_length=40, blank=True, default="")
    progression = models.CharField(max_length=12, blank=True, default="")
    operation = models.CharField(max_length=13, default="manual")
    qualifying_employer = models.CharField(max_length=120, blank=True, default="")
    status = models.CharField(max_length=9, default="active")
    status_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["stamp", "wpq", "process", "f_number"], name="qualification_once"),
            one_of("coupon", ("pipe", "plate"), "qualification_coupon_known"),
            one_of("weld", ("groove", "fillet"), "qualification_weld_known"),
            one_of("status", ("active", "suspended", "revoked"), "qualification_status_known"),
            one_of("operation", ("manual", "semiautomatic", "machine"), "qualification_operation_known"),
        ]


class ContinuityEntry(Master):
    """Proof that a welder used a process on a day, from outside the job's own passes."""

    stamp = models.ForeignKey(Stamp, on_delete=models.PROTECT, related_name="continuity")
    process = models.CharField(max_length=8)
    used_on = models.DateField()
    evidence = models.CharField(max_length=200, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["stamp", "process", "used_on"], name="continuity_once")]
