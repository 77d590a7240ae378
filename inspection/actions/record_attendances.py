"""Record what the owner's inspector did about hold and witness points: told of it, attended, or waived."""

from collections.abc import Iterable, Sequence

from joints.actions.withdraw_records import attendance_verb
from records.models import Attendance, Job, User
from records.models.point import ATTENDANCES
from records.permissions import require
from records.recording import record
from records.refusals import Fault


def record_attendances(
    drafts: Sequence[Attendance], *, job: Job, by: User, as_recorded: bool = False
) -> list[Attendance]:
    """Record attendances; a draft sent again returns the stored record.

    drafts       each with the id made on the device, joint, attempt, point, result, day and by
    as_recorded  given on paper before: whoever plans the job types it in, in the name of whoever gave it
    Raises       NotAllowed (only the owner attends or waives, or corrects that), RecordClash, Implausible (a value that
                 can't be)
    """
    verbs = {"plan"} if as_recorded else {attendance_verb(result) for result in _results(drafts, job)}
    for verb in sorted(verbs):
        require(by, job, verb)
    return record(drafts, job=job, by=by, verb=max(verbs, default="attend"), check=faults)


def _results(drafts: Sequence[Attendance], job: Job) -> set[str]:
    """What the drafts say, and what those say that they correct: what the owner recorded, the owner corrects."""
    corrected = [draft.replaces_id for draft in drafts if draft.replaces_id]
    before = Attendance.objects.filter(job=job, id__in=corrected).values_list("result", flat=True)
    return {*(draft.result for draft in drafts), *(before if corrected else ())}


def faults(draft: Attendance) -> Iterable[Fault]:
    """Yield the values that can't be."""
    if draft.result not in ATTENDANCES:
        yield Fault("result", f"{draft.result!r} is nothing that is done about a point.", ", ".join(ATTENDANCES))
    if not draft.by.strip():
        yield Fault("by", "Who did it is missing.", "the name of the owner's inspector, or of whoever told them")
