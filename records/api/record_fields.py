"""The fields that every row has, and those of every record on a joint: in one place, so that all are alike."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db.models import Exists, OuterRef
from rest_framework import serializers

from records.api.fields import ClockField, Field, computed, day, key, moment, person, person_called, text
from records.models import User, Withdrawal

JOB: dict[str, Field] = {"id": key("id"), "job": text("job__code")}
# The workbook's key of a joint, read from whatever hangs on one.
JOINT: dict[str, Field] = {
    "joint_id": key("joint_id"),
    "drawing": text("joint__sheet__drawing"),
    "sheet": text("joint__sheet__number"),
    "joint": text("joint__number"),
}


def clock_on_site(done_at: datetime | None, zone: str) -> str | None:
    """The time of day as the job's clock shows it, where one was given."""
    if done_at is None:
        return None
    try:
        return done_at.astimezone(ZoneInfo(zone)).strftime("%H:%M:%S")
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return done_at.strftime("%H:%M:%S")


WRITTEN: dict[str, Field] = {
    "replaces": key("replaces_id", nullable=True, about="The record that this one corrects").optional(),
    "replaced_by": key("replaced_by", nullable=True),
    "reason": text("reason", most=4000).optional(),
    "recorded_by": person("recorded_by"),
    "recorded_at": moment("recorded_at"),
    "device_at": moment("device_at", nullable=True).optional(),
}


TIME = computed(
    ("done_at", "job__time_zone"), ClockField, clock_on_site, allow_null=True,
    help_text="On the job's clock", accepted="a time as 14:05",
)  # fmt: skip


def on_joint(own: Mapping[str, Field], *, by: Field | None = None) -> dict[str, Field]:
    """The fields of a record on an attempt at a joint, with its own in the middle."""
    return {
        **JOB,
        **JOINT,
        "id": key("id", about="Made by the program; the same record sent again is stored once").required(),
        "joint_id": key("joint_id").required(),
        "attempt": text("attempt", most=6, about="0, R1.., W1..; left out, 0").optional(),
        "date": day("done_on", nullable=False).required(),
        "time": TIME.optional(),
        "by": by or text("by", most=120, about="Name or stamp of whoever did it; left out, your name").optional(),
        **own,
        **WRITTEN,
        "is_withdrawn": Field(("is_withdrawn",), serializers.BooleanField),
    }


def in_shop(thing: str, named: Mapping[str, Field], own: Mapping[str, Field]) -> dict[str, Field]:
    """The fields of a record about a thing of the shop, `piece_id` for example, with its own in the middle.

    named  the workbook's key of the thing, to read
    """
    return {
        **JOB,
        **named,
        "id": key("id", about="Made by the program; the same record sent again is stored once").required(),
        thing: key(thing).required(),
        **own,
        "date": day("done_on", nullable=False).required(),
        "time": TIME.optional(),
        "by": text("by", most=120, about="Name or stamp of whoever did it; left out, your name").optional(),
        "place": text("place", most=80, about="Where it was done, or lies now").optional(),
        "remark": text("remark", most=4000).optional(),
        **WRITTEN,
        "is_withdrawn": Field(("is_withdrawn",), serializers.BooleanField),
    }


def name_of(draft: Any, user: User) -> str:
    """Whoever sends a record, as pages say it of whoever fills in a form."""
    return (person_called(user.first_name, user.last_name, user.username) or "")[:120]


# What a record says of who did it where the program does not.
BY: Mapping[str, Callable[[Any, User], Any]] = {"by": name_of}


def withdrawn(kind: str) -> Callable[[], dict[str, Any]]:
    """Whether a record of this kind was withdrawn, worked out by the database."""
    return lambda: {"is_withdrawn": Exists(Withdrawal.objects.filter(kind=kind, record=OuterRef("pk")))}
