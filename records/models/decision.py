"""Signatures: releases, overrides, confirmations and withdrawals."""

import uuid

from django.db import models
from django.db.models import Q

from records.models.base import JointRecord, Record, one_of

ON_JOINTS = (
    "joint",
    "fitup",
    "pass",
    "examination",
    "repairdecision",
    "release",
    "override",
    "assignment",
    "pick",
    "attendance",
)
IN_SHOP = ("pieceevent", "spoolstep", "lotmove")
WITHDRAWABLE = (*ON_JOINTS, *IN_SHOP)


class Release(JointRecord):
    """A signature that a joint may go on."""

    remark = models.TextField(blank=True, default="")


class Override(JointRecord):
    """An authorised person's written decision to go on despite a finding."""

    code = models.CharField(max_length=40, help_text="The finding code it speaks of")


class Confirmation(Record):
    """An engineer's statement that a table was checked against the contract's own copy of the standard."""

    table = models.CharField(max_length=80)
    row = models.CharField(max_length=120, blank=True, default="")
    edition = models.CharField(max_length=40)
    done_on = models.DateField()
    by = models.CharField(max_length=120)
    remark = models.TextField(blank=True, default="")
    is_withdrawn = models.BooleanField(default=False, help_text="Takes back the confirmation that it replaces")


class Withdrawal(Record):
    """The statement that a record was made in error, for example on the wrong joint; or that a joint is no more.

    It names the joint where it speaks of one; records of pieces, spools and filler lots have none.
    """

    joint = models.ForeignKey(
        "records.Joint", on_delete=models.PROTECT, null=True, blank=True, related_name="withdrawals"
    )
    joint_id: "uuid.UUID | None"
    kind = models.CharField(max_length=16)
    record = models.UUIDField(help_text="The id of what is withdrawn")

    class Meta:
        constraints = [
            one_of("kind", WITHDRAWABLE, "withdrawal_kind_known"),
            models.UniqueConstraint(fields=["kind", "record"], name="withdrawn_once"),
            models.CheckConstraint(
                condition=Q(joint__isnull=True, kind__in=IN_SHOP) | Q(joint__isnull=False, kind__in=ON_JOINTS),
                name="withdrawal_on_a_joint_or_in_the_shop",
            ),
        ]
