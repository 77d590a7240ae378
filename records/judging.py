"""Judge joints again: a few at once, many in the background."""

from collections.abc import Callable, Iterable
from uuid import UUID

from records import work
from records.gathering import gathered
from records.lookups import Keys
from records.models import Job, Joint, User
from records.refresh import refresh

# Above this many joints the findings are marked stale and refreshed in the background.
AT_ONCE = 200


def judge_touched(job: Job, touched: Callable[[], Iterable[UUID]], *, by: User) -> None:
    """Judge again the joints that `touched` answers with; a batch asks it once everything is locked."""
    batch = gathered()
    if batch is not None:
        batch.touched.append(touched)
    else:
        judge_again(job, touched(), by=by)


def judge_again(job: Job, joint_ids: Iterable[UUID], *, by: User) -> None:
    """Derive joints again in the caller's transaction, or mark them stale and ask for it where they are many."""
    ids = set(joint_ids)
    if len(ids) <= AT_ONCE or gathered() is not None:
        refresh(job, ids)
        return
    Joint.objects.filter(id__among=Keys(ids)).update(is_stale=True)
    work.ask(job, "refresh findings", {}, by=by)
