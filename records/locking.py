"""Take joints for the rest of the transaction, so that two records on one joint are derived one after the other."""

from collections.abc import Iterable
from uuid import UUID

from records.lookups import Keys
from records.models import Joint


def lock_joints(joint_ids: Iterable[UUID]) -> None:
    """Lock joints in the order of their keys, which two transactions can't do crosswise; one query.

    The lock leaves the key alone: recording a fact on a joint already shares its key, and must not wait for it.
    On SQLite writers follow one another anyway.
    """
    rows = Joint.objects.select_for_update(no_key=True).filter(id__among=Keys(joint_ids)).order_by("id")
    list(rows.values_list("id", flat=True))
