"""Signatures: releases, overrides, confirmations and withdrawals."""

from django.db import models

from records.models.base import JointRecord, Record, one_of

WITHDRAWABLE = ("joint", "fitup", "pass", "examination", "repairdecision", "release", "override", "assignment")


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
    """The statement that a record was made in error, for example on the wrong joint; or that a joint is no more."""

    joint = models.ForeignKey("records.Joint", on_delete=models.PROTECT, related_name="withdrawals")
    kind = models.CharField(max_length=16)
    record = models.UUIDField(help_text="The id of what is withdrawn")

    class Meta:
        constraints = [
            one_of("kind", WITHDRAWABLE, "withdrawal_kind_known"),
            models.UniqueConstraint(fields=["kind", "record"], name="withdrawn_once"),
        ]
