"""Many actions as one: one transaction, one refresh and one stretch of the journal at its end."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction

from records.gathering import Gathered, gathering
from records.journal import write_gathered
from records.locking import lock_plan, lock_welders
from records.lookups import Keys
from records.meanwhile import unhurried
from records.models import Job, Joint
from records.refresh import refresh, refresh_held
from records.shop_refresh import refresh_pieces, refresh_spools


@contextmanager
def together(job: Job, *, judge: bool = True, lasts: bool = True) -> Iterator[Gathered]:
    """Run the actions inside as one batch, all or nothing; the journal's head is locked at the very end.

    What it gives counts the entries: at the end they stand in one stretch up to the journal's head.

    judge  False leaves the joints marked stale, to be derived later (`rebuild_state`)
    lasts  False where the caller takes all back, and only asks whether it could be done: no entry is written
    """
    with transaction.atomic(), unhurried():
        with gathering(judges=judge, lasts=lasts) as left:
            yield left
        if not left.opens_job:  # of which nobody else knows yet
            lock_plan(job, changes=left.changes_plan)
            lock_welders(job, left.welders)
            for touched in left.touched:
                left.joint_ids.update(dict.fromkeys(touched()))
        refresh_pieces(job, left.piece_ids)
        refresh_spools(job, left.spool_ids)
        if judge and left.held:
            refresh_held(job, left.held, left.kept)
        elif judge:
            refresh(job, left.joint_ids, kept=left.kept)
        else:
            # Those made in the batch are written so: a second version of each would be written for nothing.
            Joint.objects.filter(id__among=Keys(left.joint_ids), is_stale=False).update(is_stale=True)
        write_gathered(job, left)
