"""Exam plans, the people certified to examine, and what they found."""

from django.db import models
from django.db.models import Q

from records.models.base import JointRecord, Master, measure, millimetres, one_of
from records.models.prefix_index import PrefixIndex

RESULTS = ("accepted", "rejected", "re-shoot")
PICKED_FOR = ("sample", "extra")
PICKED_HOW = ("random", "by hand")


class ExamPlan(Master):
    """Which examinations a line's joints need."""

    name = models.CharField(max_length=60)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="exam_plan_once_per_job")]

    def __str__(self) -> str:
        return self.name


class ExamRule(Master):
    """One line of an exam plan: a joint kind, a method and the share to examine."""

    plan = models.ForeignKey(ExamPlan, on_delete=models.PROTECT, related_name="rules")
    joint_kind = models.CharField(max_length=12, help_text="A joint kind, or all")
    method = models.CharField(max_length=12)
    share_percent = measure()
    nps_min = models.CharField(max_length=12, blank=True, default="")
    nps_max = models.CharField(max_length=12, blank=True, default="")
    lot_basis = models.CharField(max_length=40, blank=True, default="")
    lot_size = models.PositiveIntegerField(null=True, blank=True)
    acceptance = models.CharField(max_length=80, blank=True, default="")
    stage = models.CharField(max_length=40, blank=True, default="final")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["plan", "joint_kind", "method", "nps_min", "nps_max", "stage"], name="exam_rule_once"
            ),
        ]


class Examiner(Master):
    """A person certified for one examination method."""

    name = models.CharField(max_length=120)
    method = models.CharField(max_length=12)
    level = models.CharField(max_length=12, blank=True, default="")
    valid_until = models.DateField(null=True, blank=True)
    employer = models.CharField(max_length=120, blank=True, default="")
    certificate = models.CharField(max_length=120, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "name", "method"], name="examiner_once_per_method")]


class Examination(JointRecord):
    """One examination of one attempt, with the examiner's verdict, which is the one that counts."""

    method = models.CharField(max_length=12)
    stage = models.CharField(max_length=40, default="final")
    result = models.CharField(max_length=10)
    report = models.CharField(max_length=80, blank=True, default="")
    report_line = models.CharField(max_length=20, blank=True, default="")
    leg_a_mm = millimetres(null=True, blank=True)
    leg_b_mm = millimetres(null=True, blank=True)
    undercut_mm = millimetres(null=True, blank=True)
    gap_on_film_mm = millimetres(null=True, blank=True)
    indications = models.TextField(blank=True, default="")
    typed = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [one_of("result", RESULTS, "examination_result_known")]
        indexes = [PrefixIndex(fields=["job", "report", "id"], condition=Q(report__gt=""), name="report_named")]


class Pick(JointRecord):
    """A joint chosen to be examined by a method of which its plan asks only a share, with how it was chosen."""

    method = models.CharField(max_length=12)
    stage = models.CharField(max_length=40, blank=True, default="final")
    purpose = models.CharField(max_length=6, default="sample")
    how = models.CharField(max_length=7)
    lot = models.CharField(max_length=200, blank=True, default="", help_text="The lot as it was named at the pick")
    draw = models.CharField(max_length=200, blank=True, default="", help_text="What a random draw can be repeated from")
    remark = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            one_of("purpose", PICKED_FOR, "pick_purpose_known"),
            one_of("how", PICKED_HOW, "pick_how_known"),
        ]
