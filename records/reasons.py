"""The reason of a decision itself, apart from the reasons for which it was corrected."""

from collections.abc import Collection
from uuid import UUID

# Between a record's own reason and that of its correction, where one text holds both.
CORRECTED = "; corrected: "


def own_reason(reason: str, *, corrects: bool) -> str:
    """What a record's text says of the decision itself: a correction's text is why it was corrected.

    corrects  whether the record replaces another one
    """
    if not corrects:
        return reason
    own, between, _ = reason.partition(CORRECTED)
    return own if between else ""


def own_reasons(records: Collection[tuple[UUID, UUID | None, str]]) -> dict[UUID, str]:
    """The decision's own reason by the id of each record, also where a record before it gave it.

    records  id, the id of what it replaces, and text, in any order
    """
    before = {key: replaced for key, replaced, _ in records}
    own = {key: own_reason(text, corrects=replaced is not None) for key, replaced, text in records}
    found = {}
    for key in own:
        at: UUID | None = key
        while at in own and not own[at].strip():
            at = before[at]
        found[key] = own.get(at, "") if at else ""
    return found
