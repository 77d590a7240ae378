"""The lots of exam rules that ask a share, kept so that lists are fast; derived, so they may be made again."""

from django.db import models

from records.models.base import millimetres, new_id, one_of
from rules.lots import STATES


class SampleLot(models.Model):
    """How the sample of one lot stands; only `records.lot_storing` writes it.

    What its rule says in general is read from the rule; the share is the owner's where `asked_by` names one.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+", db_index=False)
    # The constraint below begins with it.
    rule = models.ForeignKey("records.ExamRule", on_delete=models.PROTECT, related_name="+", db_index=False)
    name = models.TextField()
    share_percent = millimetres(help_text="In percent, as exact as the owner's limits")
    asked_by = models.TextField(blank=True, default="", help_text="The owner's specification, where it sets the share")
    state = models.CharField(max_length=24)
    sort_key = models.TextField(help_text="What it asks, then plan, method and name, to sort")
    welds = models.PositiveIntegerField(help_text="Welds that count")
    needed = models.PositiveIntegerField()
    counted = models.PositiveIntegerField()
    pending = models.PositiveIntegerField()
    to_pick = models.PositiveIntegerField()
    short = models.PositiveIntegerField()
    extra_due = models.PositiveIntegerField()
    lacking = models.JSONField(default=list, help_text="Stamps of whom nothing is examined")
    steps = models.JSONField(default=list)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["rule", "name", "share_percent", "asked_by"], name="lot_once_per_rule"),
            one_of("state", STATES, "lot_state_known"),
        ]
        indexes = [models.Index(fields=["job", "sort_key"], name="lot_by_what_it_asks")]


class LotPlace(models.Model):
    """The place of a joint in a lot."""

    id = models.BigAutoField(primary_key=True)
    # The constraint below begins with it.
    lot = models.ForeignKey(SampleLot, on_delete=models.PROTECT, related_name="places", db_index=False)
    joint = models.ForeignKey("records.Joint", on_delete=models.PROTECT, related_name="places")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["lot", "joint"], name="place_once_per_lot")]
