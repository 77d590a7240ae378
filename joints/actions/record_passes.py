"""Record passes, segment by segment, one or thousands, once each."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from functools import partial

from joints.queries.joints_of_uses import joints_of_uses
from records.models import Job, Pass, User
from records.models.procedure import PASS_ROLES, PROCESSES
from records.recording import Touched, record
from records.refusals import Fault
from records.texts import distinct
from rules.units import figure, shown

# What can be at all, not what is allowed: limits of the procedure are judged, never refused.
PLAUSIBLE: dict[str, tuple[str, Decimal, Decimal, str]] = {
    "amps": ("amps", Decimal(1), Decimal(1400), "A"),
    "volts": ("volts", Decimal(1), Decimal(100), "V"),
    "travel_mm_min": ("travel", Decimal(1), Decimal(5000), "mm/min"),
    "length_mm": ("length", Decimal(0), Decimal(10000), "mm"),
    "arc_time_s": ("arc time", Decimal(0), Decimal(86400), "s"),
    "preheat_c": ("preheat", Decimal(-50), Decimal(600), "°C"),
    "interpass_c": ("interpass", Decimal(-50), Decimal(800), "°C"),
    "start_degrees": ("start", Decimal(0), Decimal(360), "degrees"),
    "stop_degrees": ("stop", Decimal(0), Decimal(360), "degrees"),
}


def record_passes(drafts: Sequence[Pass], *, job: Job, by: User) -> list[Pass]:
    """Record passes as they were welded; a draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, attempt, order, role, stamp, process and day
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    A pass by an unqualified welder, or out of the procedure's range, is recorded; the finding follows from `refresh`.
    """
    return record(drafts, job=job, by=by, verb="record pass", check=faults, also_refresh=kept_alive)


def faults(draft: Pass) -> Iterable[Fault]:
    """Yield the values that can't be."""
    for name, (field, least, greatest, unit) in PLAUSIBLE.items():
        value = getattr(draft, name)
        if value is not None and not least <= value <= greatest:
            units = draft.joint.job.units
            said, most = shown(value, unit, units), shown(greatest, unit, units)
            yield Fault(field, f"{field.capitalize()} of {said} can't be.", f"{figure(least, unit, units)} to {most}")
    if not 1 <= draft.order <= 99:
        yield Fault("order", f"{draft.order} is no place in the order of passes.", "1 to 99")
    if draft.role not in PASS_ROLES:
        yield Fault("pass", f"{draft.role!r} is no kind of pass.", ", ".join(PASS_ROLES))
    if draft.process not in PROCESSES:
        yield Fault("process", f"{draft.process!r} is no process known here.", ", ".join(PROCESSES))


def kept_alive(new: Sequence[Pass]) -> Touched:
    """Ask for joints of other days whose welder's qualification was alive, or had lapsed, through a pass of these."""
    replaced = distinct(new, "replaces_id")
    gone = list(Pass.objects.filter(id__in=replaced)) if replaced else ()
    return partial(joints_of_uses, new[0].job, come=distinct(new, "stamp_id"), gone=gone)
