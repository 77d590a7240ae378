"""Record fit-ups, one or thousands, once each."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from records.models import FitUp, Job, User
from records.recording import record
from records.refusals import Fault
from rules.units import show_length

GREATEST_GAP_MM = Decimal(50)
LENGTHS = {
    "gap_mm": "gap",
    "gap_12_mm": "gap 12",
    "gap_3_mm": "gap 3",
    "gap_6_mm": "gap 6",
    "gap_9_mm": "gap 9",
    "squareness_mm": "squareness",
    "high_low_mm": "high-low",
}


def record_fit_ups(drafts: Sequence[FitUp], *, job: Job, by: User) -> list[FitUp]:
    """Record fit-ups as they happened; a draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, attempt, day, and gap_mm (socket gap or root opening)
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    A value out of limits is recorded; the finding follows from `refresh`.
    """
    for draft in drafts:
        take_least_gap(draft)
    return record(drafts, job=job, by=by, verb="record fit-up", check=faults)


def take_least_gap(draft: FitUp) -> None:
    """Where only readings round the pipe were given, the gap is the least of them."""
    readings = [draft.gap_12_mm, draft.gap_3_mm, draft.gap_6_mm, draft.gap_9_mm]
    if draft.gap_mm is None and (given := [gap for gap in readings if gap is not None]):
        draft.gap_mm = min(given)


def faults(draft: FitUp) -> Iterable[Fault]:
    """Yield the measurements that can't be: below zero, or wider than any gap between two pipes."""
    for name, field in LENGTHS.items():
        value = getattr(draft, name)
        if value is not None and not 0 <= value <= GREATEST_GAP_MM:
            units = draft.joint.job.units
            accepted = f"0 to {GREATEST_GAP_MM} mm" if units == "SI" else f"0 to about 2 in ({GREATEST_GAP_MM} mm)"
            yield Fault(field, f"A {field} of {show_length(value, units)} can't be.", accepted)
