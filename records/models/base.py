"""What every row has in common: its identity, and for records who wrote them, when, and what they replace."""

import os
import struct
import threading
import time
import uuid
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

# The 48 bits of the time and the 12 below them, which count the identities of one millisecond (RFC 9562, 6.2).
_last = 0
_counting = threading.Lock()


def new_id() -> uuid.UUID:
    """A fresh identity that grows with every call (RFC 9562, version 7), so that indexes stay dense.

    What is made after another also sorts after it: rows written at one instant keep their order.
    """
    return new_ids(1)[0]


def new_ids(count: int) -> list[uuid.UUID]:
    """Fresh identities as of `new_id`, one after another, at less than half the cost where they are many."""
    global _last
    start, *noise = struct.unpack(f">H{count}Q", os.urandom(2 + 8 * count))
    # Each millisecond begins in the lower half of its counter; a counter that runs over borrows of the next one.
    started = (time.time_ns() // 1_000_000 << 12) | (start >> 5)
    with _counting:
        first = max(started, _last + 1)
        _last = first + count - 1
    return [
        uuid.UUID(int=((moment >> 12) << 80) | (7 << 76) | ((moment & 0xFFF) << 64) | (2 << 62) | (rest >> 2))
        for moment, rest in zip(range(first, first + count), noise, strict=True)
    ]


def millimetres(**options: Any) -> "models.DecimalField[Any, Any]":
    """A length in mm, exact for every 1/64 in."""
    return models.DecimalField(max_digits=13, decimal_places=6, **options)


def measure(**options: Any) -> "models.DecimalField[Any, Any]":
    """Any other quantity, in the SI unit that its name ends with."""
    return models.DecimalField(max_digits=13, decimal_places=4, **options)


def one_of(field: str, values: Sequence[str], name: str, *, blank: bool = False) -> models.CheckConstraint:
    """The database's own list of the words a column may hold."""
    return models.CheckConstraint(condition=Q(**{f"{field}__in": [*values, *([""] if blank else [])]}), name=name)


class Master(models.Model):
    """A row that may change; every version of it stands in the journal."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+")

    class Meta:
        abstract = True


class Record(models.Model):
    """An immutable fact: written once, never updated or deleted, replaced only by a newer record that names it."""

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    job = models.ForeignKey("records.Job", on_delete=models.PROTECT, related_name="+")
    # Nobody looks records up by who sent them, and every index makes an import slower.
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    recorded_at = models.DateTimeField()
    device_at = models.DateTimeField(null=True, blank=True)
    replaces = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by")
    reason = models.TextField(blank=True, default="")
    replaces_id: "uuid.UUID | None"

    class Meta:
        abstract = True


class JointRecord(Record):
    """A fact about one attempt at one joint, with the day it was done."""

    joint = models.ForeignKey("records.Joint", on_delete=models.PROTECT, related_name="%(class)ss")
    attempt = models.CharField(max_length=6, default="0", help_text="0 original, R1 first repair, W1 first re-weld")
    done_on = models.DateField(help_text="The day it was done, in the job's time zone")
    done_at = models.DateTimeField(null=True, blank=True, help_text="The time, where it was given")
    by = models.CharField(max_length=120, blank=True, default="", help_text="Name or stamp of whoever did it")

    class Meta:
        abstract = True


class ShopRecord(Record):
    """A fact about a thing of the shop or yard, with the day it was done, where, and by whom."""

    done_on = models.DateField(help_text="The day it was done, in the job's time zone")
    done_at = models.DateTimeField(null=True, blank=True, help_text="The time, where it was given")
    by = models.CharField(max_length=120, blank=True, default="", help_text="Name or stamp of whoever did it")
    place = models.CharField(max_length=80, blank=True, default="", help_text="Where it was done, or lies now")
    remark = models.TextField(blank=True, default="")

    class Meta:
        abstract = True
