"""Record examinations with the examiner's verdict, one or thousands, once each."""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from records.models import Examination, Job, User
from records.models.examination import RESULTS
from records.recording import record
from records.refusals import Fault

METHODS = ("VT", "RT", "PT", "MT", "UT", "PMI", "PWHT", "hardness", "leak test")
LENGTHS = {"leg_a_mm": "leg A", "leg_b_mm": "leg B", "undercut_mm": "undercut", "gap_on_film_mm": "gap on film"}
GREATEST_MM = Decimal(100)


def record_examinations(drafts: Sequence[Examination], *, job: Job, by: User) -> list[Examination]:
    """Record results as the examiner gave them; a draft sent again returns the stored record.

    drafts  each with the id made on the device, joint, attempt, method, day, by and result
    Raises  NotAllowed (role), RecordClash (an id used for other content), Implausible (a value that can't be)
    The computed verdict stands beside the examiner's as a finding; it never changes the result.
    """
    return record(drafts, job=job, by=by, verb="examine", check=faults)


def faults(draft: Examination) -> Iterable[Fault]:
    """Yield the values that can't be."""
    if draft.method not in METHODS:
        yield Fault("method", f"{draft.method!r} is no examination method known here.", ", ".join(METHODS))
    if draft.result not in RESULTS:
        yield Fault("result", f"{draft.result!r} is no result.", ", ".join(RESULTS))
    if not draft.by.strip():
        yield Fault("by", "Who examined the joint is missing.", "the examiner's name")
    for name, field in LENGTHS.items():
        value = getattr(draft, name)
        if value is not None and not 0 <= value <= GREATEST_MM:
            yield Fault(field, f"A {field} of {value:f} mm can't be.", f"0 to {GREATEST_MM} mm (about 4 in)")
