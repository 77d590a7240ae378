"""What a writer takes for the rest of its transaction, so that two who touch the same are judged one after the other.

The order is the same for everybody: plan, welders, pieces, spools, lots, joints, and last the journal's head. Whoever
records shares the plan with everybody else who records; whoever changes it has it alone, and so finds every record that
its change can touch. Passes of one welder follow one another, because each can keep the other's qualification alive. On
SQLite writers follow one another anyway.
"""

from collections.abc import Iterable
from uuid import UUID

from django.db import connection
from django.db.models import Q

from records.lookups import Keys
from records.models import ExamRule, FitUp, Job, Joint, Pass, User
from records.models.base import Master

# PostgreSQL holds some thousands of such locks at once: the welders of a job share this many.
BUCKETS = 1024
_PLAN, _WELDER, _LOTS = 0x504C, 0x5745, 0x4C4F


def lock_plan(job: Job, *, changes: bool = False) -> None:
    """Take the job's plan: shared, to be judged by it, or alone, to change what others are judged by; one query."""
    if connection.vendor == "postgresql":
        word = "pg_advisory_xact_lock" if changes else "pg_advisory_xact_lock_shared"
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT {word}(%s)", [_key(job, _PLAN, 0)])


def lock_welders(job: Job, stamp_ids: Iterable[UUID]) -> None:
    """Take welders whose days of welding change, or who are judged by them, in the order of their keys; one query."""
    buckets = sorted({key.int % BUCKETS for key in stamp_ids})
    if buckets and connection.vendor == "postgresql":
        keys = [_key(job, _WELDER, bucket) for bucket in buckets]
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(one) FROM unnest(%s::bigint[]) AS one", [keys])


def lock_lots(job: Job) -> None:
    """Take the lots of a job whose plan names some: what is recorded on one joint is judged on others; two queries."""
    if connection.vendor != "postgresql":
        return
    named = ~Q(lot_basis="") | Q(lot_size__isnull=False)
    if ExamRule.objects.filter(named, job=job, share_percent__lt=100).exists():
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_key(job, _LOTS, 0)])


def lock_joints(job: Job, joint_ids: Iterable[UUID]) -> None:
    """Share the plan and take joints in the order of their keys; two queries.

    The lock leaves the key alone: recording a fact on a joint already shares its key, and must not wait for it.
    """
    if connection.vendor != "postgresql":
        return
    lock_plan(job)
    rows = Joint.objects.select_for_update(no_key=True).filter(id__among=Keys(joint_ids)).order_by("id")
    list(rows.values_list("id", flat=True))


def lock_people(job_ids: Iterable[UUID], *people: User) -> set[int]:
    """Take jobs, then sign-ins, each in the order of their keys, for whoever changes who leads; two queries.

    Returns the keys of those whose sign-in is open now.
    """
    list(Job.objects.select_for_update(no_key=True).filter(pk__in=list(job_ids)).order_by("pk"))
    rows = User.objects.select_for_update(no_key=True).filter(pk__in=[one.pk for one in people]).order_by("pk")
    return {one.pk for one in rows if one.is_active}


def stamps_on(joint_ids: Iterable[UUID]) -> set[UUID]:
    """Return the stamps of everybody who welded or tacked on these joints; two queries."""
    keys = Keys(joint_ids)
    welded = Pass.objects.filter(joint_id__among=keys).values_list("stamp_id", flat=True)
    tacked = FitUp.objects.filter(joint_id__among=keys, tack_stamp__isnull=False)
    return {*welded, *tacked.values_list("tack_stamp_id", flat=True)}


def _key(job: Job, kind: int, part: int) -> int:
    """A number of 64 bits, with its sign as PostgreSQL has it; two jobs that meet in one only wait for each other."""
    value = (job.pk.int ^ (kind << 16 | part)) & 0xFFFF_FFFF_FFFF_FFFF
    return value - (1 << 64) if value >= 1 << 63 else value


def lock_rows(model: type[Master], ids: Iterable[UUID]) -> None:
    """Take pieces, spools or filler lots in the order of their keys, once the plan is shared; one query."""
    if connection.vendor != "postgresql":
        return
    rows = model._default_manager.select_for_update(no_key=True).filter(id__among=Keys(ids)).order_by("id")
    list(rows.values_list("id", flat=True))
