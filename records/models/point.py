"""Hold and witness points of the inspection and test plan, and what the owner's inspector did about them."""

from django.db import models

from records.models.base import JointRecord, Master, one_of

POINT_KINDS = ("hold", "witness")
ATTENDANCES = ("notified", "attended", "waived")


class HoldPoint(Master):
    """A step that waits for the owner's inspector (hold), or to which they are invited (witness).

    Where line, piping class and joint kind are empty it speaks of every joint. A row is never removed: one that holds
    no more is not in force.
    """

    name = models.CharField(max_length=40, help_text="Its item in the inspection and test plan, for example 4.2")
    step = models.CharField(max_length=12, help_text="fit-up, root, an examination method, or release")
    kind = models.CharField(max_length=7)
    line = models.ForeignKey("records.Line", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    piping_class = models.CharField(max_length=40, blank=True, default="")
    joint_kind = models.CharField(max_length=12, blank=True, default="")
    document = models.CharField(max_length=80, blank=True, default="", help_text="The plan that asks for it")
    in_force = models.BooleanField(default=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="hold_point_once_per_job"),
            one_of("kind", POINT_KINDS, "hold_point_kind_known"),
        ]

    def __str__(self) -> str:
        return self.name


class Attendance(JointRecord):
    """That the owner's inspector was told of a point, attended it, or waived it in writing."""

    point = models.ForeignKey(HoldPoint, on_delete=models.PROTECT, related_name="+", db_index=False)
    result = models.CharField(max_length=8)
    remark = models.TextField(blank=True, default="")

    class Meta:
        constraints = [one_of("result", ATTENDANCES, "attendance_result_known")]
