"""The owner's specification of a job: the limits that it tightens or replaces."""

from django.db import models

from records.models.base import Master, millimetres, one_of

MODES = ("tightened", "replaced", "withdrawn")


class OwnerLimit(Master):
    """One limit of the owner, with the specification and clause as the engineer typed them.

    A row is never removed: one that holds no more is `withdrawn`.
    """

    limit = models.CharField(max_length=24, help_text="Its name in rules.specification.LIMITS")
    joint_kind = models.CharField(max_length=12, blank=True, default="", help_text="Empty: every kind")
    service = models.CharField(max_length=16, blank=True, default="", help_text="Fluid service; empty: every one")
    value = millimetres(help_text="In the unit of its limit: mm, °C, kJ/mm, degrees, percent, or a count")
    typed = models.CharField(max_length=40, blank=True, default="", help_text="The figure as it was typed")
    mode = models.CharField(max_length=10, default="tightened")
    specification = models.CharField(max_length=80)
    clause = models.CharField(max_length=40, blank=True, default="")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "limit", "joint_kind", "service"], name="owner_limit_once"),
            one_of("mode", MODES, "owner_limit_mode_known"),
        ]

    def __str__(self) -> str:
        return ", ".join(part for part in (self.limit, self.joint_kind, self.service) if part)
