"""What happens at the joint: assignment, fit-up, passes, and the decision after a reject."""

from django.db import models
from django.db.models import Q

from records.models.base import JointRecord, measure, millimetres, one_of
from records.models.procedure import PASS_ROLES

DECISIONS = ("repair", "cut-out")


class Assignment(JointRecord):
    """The foreman's word on who welds a joint; the latest counts."""

    stamp = models.ForeignKey("records.Stamp", on_delete=models.PROTECT, related_name="+")
    override_reason = models.TextField(blank=True, default="", help_text="Why, although not qualified")


class FitUp(JointRecord):
    """A joint as it stood before welding."""

    gap_mm = millimetres(null=True, blank=True, help_text="Socket gap or root opening; the least of four readings")
    gap_12_mm = millimetres(null=True, blank=True)
    gap_3_mm = millimetres(null=True, blank=True)
    gap_6_mm = millimetres(null=True, blank=True)
    gap_9_mm = millimetres(null=True, blank=True)
    squareness_mm = millimetres(null=True, blank=True)
    high_low_mm = millimetres(null=True, blank=True)
    tack_stamp = models.ForeignKey("records.Stamp", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    heat_a_read = models.CharField(max_length=80, blank=True, default="")
    heat_b_read = models.CharField(max_length=80, blank=True, default="")
    accepted_by = models.CharField(max_length=120, blank=True, default="")
    revision = models.CharField(max_length=16, blank=True, default="")
    typed = models.JSONField(default=dict, blank=True, help_text="The measurements as they were typed")


class Pass(JointRecord):
    """One segment of a pass: one welder, from one start to one stop."""

    order = models.PositiveSmallIntegerField()
    role = models.CharField(max_length=4)
    # The index `pass_by_welder` begins with it.
    stamp = models.ForeignKey("records.Stamp", on_delete=models.PROTECT, related_name="+", db_index=False)
    process = models.CharField(max_length=8)
    procedure = models.ForeignKey(
        "records.Procedure", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    filler_lot = models.ForeignKey(
        "records.FillerLot", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    amps = measure(null=True, blank=True)
    volts = measure(null=True, blank=True)
    travel_mm_min = measure(null=True, blank=True)
    length_mm = millimetres(null=True, blank=True)
    arc_time_s = measure(null=True, blank=True)
    preheat_c = measure(null=True, blank=True)
    interpass_c = measure(null=True, blank=True)
    position = models.CharField(max_length=12, blank=True, default="")
    start_degrees = measure(null=True, blank=True)
    stop_degrees = measure(null=True, blank=True)
    shift = models.CharField(max_length=20, blank=True, default="")
    from_weld_log = models.BooleanField(default=False, help_text="Came in the one-row form, without parameters")
    typed = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            one_of("role", PASS_ROLES, "pass_role_known"),
            models.CheckConstraint(condition=Q(order__gte=1), name="pass_order_from_one"),
        ]
        indexes = [models.Index(fields=["stamp", "process", "done_on"], name="pass_by_welder")]


class RepairDecision(JointRecord):
    """What is done about a rejected attempt; it opens the next one."""

    decision = models.CharField(max_length=8)
    piece_scrapped = models.CharField(max_length=80, blank=True, default="")

    class Meta:
        constraints = [one_of("decision", DECISIONS, "repair_decision_known")]
