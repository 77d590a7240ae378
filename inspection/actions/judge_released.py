"""Judge the released joints of a job again, where what is confirmed decides on them."""

from records.judging import judge_touched
from records.models import Job, Joint, User
from rules.state import RELEASED


def judge_released(job: Job, *, by: User) -> None:
    """Judge the released joints, in a batch at its end; must run in the transaction that changed what decides."""
    released = Joint.objects.filter(job=job, state=RELEASED).values_list("id", flat=True)
    judge_touched(job, lambda: released, by=by)
