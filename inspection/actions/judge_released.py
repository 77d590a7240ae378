"""Judge the released joints of a job again, where what is confirmed decides on them."""

from collections.abc import Iterable
from uuid import UUID

from records import work
from records.gathering import gathered
from records.lookups import Keys
from records.models import Job, Joint, User
from records.refresh import refresh
from rules.state import RELEASED

# Above this many joints the findings are marked stale and refreshed in the background.
AT_ONCE = 200


def judge_released(job: Job, *, by: User) -> None:
    """Refresh the released joints, in a batch at its end; must run in the transaction that changed what decides."""
    batch = gathered()
    if batch is not None:
        batch.touched.append(lambda: _released(job))
        batch.changes_plan = True
        return
    ids = list(_released(job))
    if len(ids) <= AT_ONCE:
        refresh(job, ids)
        return
    Joint.objects.filter(id__among=Keys(ids)).update(is_stale=True)
    work.ask(job, "refresh findings", {}, by=by)


def _released(job: Job) -> Iterable[UUID]:
    return Joint.objects.filter(job=job, state=RELEASED).values_list("id", flat=True)
