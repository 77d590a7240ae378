"""Prove that what is stored of joints, pieces and spools is what follows from their records, and mend it."""

from collections import defaultdict
from collections.abc import Iterator
from uuid import UUID

from records.facts import Library, in_batches
from records.lot_refresh import lot_differences
from records.models import Finding, Job, Joint
from records.refresh import Judged, judge_joints, refresh
from records.shop_refresh import rebuild_shop, shop_differences
from records.snapshot import snapshot
from rules.finding import STOP
from rules.lots import LOT_CODES

COMPARED = (
    "joint_id", "attempt", "code", "record", "severity", "message", "source", "measured", "limit", "unit", "subject",
    "tables", "override_id", "sort_key", "owner", "since",
)  # fmt: skip


def differences(job: Job) -> Iterator[str]:
    """Yield one sentence for each joint, piece or spool whose stored state or findings differ from the derived.

    Memory is flat. Everything is read at one moment, so that those who record meanwhile raise no false alarm.
    """
    with snapshot():
        yield from shop_differences(job)
        yield from _differences(job)
        yield from lot_differences(job, Library(job))


def _differences(job: Job) -> Iterator[str]:
    library = Library(job)
    people = library.people()
    for batch in in_batches(list(Joint.objects.filter(job=job).order_by("sort_key").values_list("id", flat=True))):
        stored = {row.id: row for row in Joint.objects.filter(id__in=batch).select_related("sheet")}
        findings = _stored_findings(batch)
        _leave_lots_out(stored)
        for judged in judge_joints(job, batch, library=library, people=people):
            difference = _difference(stored[judged.joint_id], findings.get(judged.joint_id, []), judged)
            if difference:
                yield difference


def rebuild(job: Job) -> None:
    """Derive every piece, spool and joint of a job again and store it."""
    rebuild_shop(job)
    refresh(job, Joint.objects.filter(job=job).values_list("id", flat=True))


def _stored_findings(batch: list[UUID]) -> dict[UUID, list[tuple[str, ...]]]:
    found: dict[UUID, list[tuple[str, ...]]] = defaultdict(list)
    for row in Finding.objects.filter(joint_id__in=batch).exclude(code__in=LOT_CODES):
        found[row.joint_id].append(_compared(row))
    return found


def _leave_lots_out(joints: dict[UUID, Joint]) -> None:
    """Take what lots say out of the stored counts: it follows from other joints too, and is compared by itself."""
    rows = Finding.objects.filter(joint_id__in=list(joints), code__in=LOT_CODES, severity=STOP, override__isnull=True)
    for joint in rows.values_list("joint_id", flat=True):
        joints[joint].stops -= 1


def _compared(row: Finding) -> tuple[str, ...]:
    return tuple(str(getattr(row, name)) for name in COMPARED)


def _difference(joint: Joint, stored: list[tuple[str, ...]], judged: Judged) -> str:
    name = f"Joint {joint.sheet}/{joint.number}"
    for column, derived in zip(Joint.DERIVED, judged.columns, strict=True):
        kept = joint.assigned_id if column == "assigned" else getattr(joint, column)
        if kept != derived and column != "is_stale":
            return f"{name}: {column} is stored as {kept}, but follows as {derived}."
    if sorted(stored) != sorted(_compared(row) for row in judged.findings):
        return f"{name}: the stored findings differ from those that follow."
    return ""
